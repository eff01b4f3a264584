package gauge_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/judge/gauge"
)

// readTwice is a job in which persons read the same places with one gauge.
func readTwice(t *testing.T, places int, read func(place int, person string) float64, persons ...string) *job.State {
	t.Helper()
	s := &job.State{}
	for p := range places {
		for _, who := range persons {
			text := fmt.Sprintf("%.6f", read(p, who))
			q, err := unit.Parse(text, "mm", '.')
			if err != nil {
				t.Fatal(err)
			}
			s.Readings = append(s.Readings, job.Reading{ReadingV1: job.ReadingV1{Position: fmt.Sprintf("block/bore/%d", p), State: job.Found, Gauge: "mic",
				Value: text, Unit: "mm"}, Person: who, Quantity: q})
		}
	}
	return s
}

// Worked by hand: B reads 1, 2 and 6 µm more than A. The mean is 3 µm, the
// differences scatter by s_d = √7 µm, u(d̄) = √(7/3) µm, and one reading by √3.5 µm.
func TestTwiceByHand(t *testing.T) {
	more := []float64{0.001, 0.002, 0.006}
	s := readTwice(t, 3, func(p int, who string) float64 {
		if who == "b" {
			return 83 + float64(p)/100 + more[p]
		}
		return 83 + float64(p)/100
	}, "b", "a")
	got, ok := gauge.FromParts("mic", []*job.State{s})
	if !ok || len(got.Pairs) != 1 || got.Dof != 2 || got.Unit != "mm" {
		t.Fatalf("%+v %v", got, ok)
	}
	p := got.Pairs[0]
	if p.A != "a" || p.B != "b" || p.Places != 3 {
		t.Errorf("%+v", p)
	}
	for what, c := range map[string][2]float64{"difference": {p.Diff, 3e-6}, "its doubt": {p.SU, math.Sqrt(7.0/3) * 1e-6}, "one reading": {got.Repeat, math.Sqrt(3.5) * 1e-6}} {
		if math.Abs(c[0]-c[1]) > 1e-12 {
			t.Errorf("%s: %g, want %g", what, c[0], c[1])
		}
	}
	if _, ok := gauge.FromParts("other", []*job.State{s}); ok {
		t.Error("a gauge that nobody used was judged")
	}
}

// What must not be compared is not: a second reading of the same person, one
// that no longer counts, another condition, a part warmer by more than 1 °C.
func TestTwiceLeavesOut(t *testing.T) {
	s := readTwice(t, 5, func(p int, who string) float64 { return 83 }, "a", "b")
	again := s.Readings[0] // of a, wildly off: its first one stands
	again.Quantity.N += 9e8
	s.Readings = append(s.Readings, again)
	for i := range s.Readings[:10] {
		r := &s.Readings[i]
		switch {
		case i == 3:
			r.Voided = "withdrawn"
		case i == 5:
			r.Condition = []string{"caps-tight"}
		case i == 6:
			r.PartTemp = "20.0"
		case i == 7:
			r.PartTemp = "21.5"
		}
		if i == 1 || i == 3 || i == 5 || i == 7 || i == 9 { // b's
			r.Quantity.N += 4_000_000
		}
	}
	got, _ := gauge.FromParts("mic", []*job.State{s})
	if len(got.Pairs) != 1 || got.Pairs[0].Places != 2 || math.Abs(got.Pairs[0].Diff-4e-6) > 1e-12 {
		t.Errorf("%+v", got)
	}
}

// Synthetic: 400 places of parts, B reading 2 µm more, each reading scattering by
// 1.5 µm, come out within four of their own standard uncertainties, whatever the
// sizes of the parts.
func TestTwiceFindsWhatWasPutIn(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 1))
		s := readTwice(t, 400, func(p int, who string) float64 {
			v := 83 + 0.02*float64(p%7) + 0.0015*rng.NormFloat64()
			if who == "b" {
				v += 0.002
			}
			return v
		}, "a", "b")
		got, ok := gauge.FromParts("mic", []*job.State{s})
		if !ok {
			t.Fatal("nothing")
		}
		p := got.Pairs[0]
		if d := math.Abs(p.Diff - 2e-6); d > 4*p.SU || p.SU > 0.12e-6 {
			t.Errorf("seed %d: %g ± %g", seed, p.Diff, p.SU)
		}
		if d := math.Abs(got.Repeat - 1.5e-6); d > 4*1.5e-6/math.Sqrt(2*399) {
			t.Errorf("seed %d: one reading scatters by %g", seed, got.Repeat)
		}
	}
}
