package shop

import (
	"strings"
	"testing"
)

func keyOf(n int) string {
	return strings.Repeat("00", 15) + string("0123456789abcdef"[n/16]) + string("0123456789abcdef"[n%16])
}

// Law: a calibration that was withdrawn holds no more, and the one before it
// holds in its time again; it stays readable, with who, when and why. A check
// that was withdrawn is in no study. Everything here is synthetic.
func TestWithdrawn(t *testing.T) {
	first := CalibratedV1{Gauge: "g-1", Date: 10, Bias: "1", Unit: "µm", Expanded: "1", Coverage: "2"}
	second, third := first, first
	second.Date, second.Bias = 20, "9"
	third.Date = 30
	check := MasterCheckV1{Gauge: "g-1", Master: "g-2", True: "83.000", Read: "88.001", Unit: "mm"}
	base := []any{GaugeV1{Gauge: "g-1", Type: "micrometer"}, first, second, third, check, check}
	all := rows(t, append(base, WithdrawalV1{Target: keyOf(3), Reason: "read from the wrong line"}, WithdrawalV1{Target: keyOf(5), Reason: "mistyped"})...)
	before := Replay(all[:6])
	for name, s := range map[string]*State{"at once": Replay(all), "with": before.With(all[6:])} {
		g := s.Gauges["g-1"]
		if s.Odd != 0 || len(g.Calibrations) != 3 || len(s.Checks) != 2 {
			t.Fatalf("%s: odd %d, %+v, %+v", name, s.Odd, g.Calibrations, s.Checks)
		}
		if c, ok := g.At(25); !ok || c.Date != 10 {
			t.Errorf("%s: at 25 the calibration of %d holds", name, c.Date)
		}
		if c, _ := g.At(35); c.Date != 30 {
			t.Errorf("%s: at 35 the calibration of %d holds", name, c.Date)
		}
		v := g.Calibrations[1].Void
		if v == nil || v.Reason != "read from the wrong line" || v.Person != "p-1" || v.Time != 7 || v.Key != keyOf(7) {
			t.Errorf("%s: %+v", name, v)
		}
		if st := s.Study("g-1"); len(st) != 1 || len(st[0].Checks) != 1 || st[0].Checks[0].Key != keyOf(6) {
			t.Errorf("%s: %+v", name, st)
		}
		if c, from, to := s.Calibration(keyOf(2)); c == nil || from != 10 || to != 29 {
			t.Errorf("%s: the first holds from %d to %d", name, from, to)
		}
		if c, from, to := s.Calibration(keyOf(3)); c == nil || from != 20 || to != 29 {
			t.Errorf("%s: the second held from %d to %d", name, from, to)
		}
		if _, _, to := s.Calibration(keyOf(4)); to != 0 {
			t.Errorf("%s: the third holds to %d", name, to)
		}
	}
	if g := before.Gauges["g-1"]; g.Calibrations[1].Void != nil || before.Checks[0].Void != nil {
		t.Error("the state before was changed")
	}
	// Nothing is withdrawn twice, and nothing but calibrations and checks.
	for _, target := range []string{keyOf(3), keyOf(1), "nothing", keyOf(7)} {
		more := rows(t, append(append([]any{}, base...), WithdrawalV1{Target: keyOf(3), Reason: "r"}, WithdrawalV1{Target: target, Reason: "r"})...)
		if s := Replay(more); s.Odd != 1 {
			t.Errorf("%s: odd %d", target, s.Odd)
		}
	}
}
