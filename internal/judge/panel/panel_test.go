package panel

import (
	"strings"
	"testing"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/know/strip"
)

func q(t *testing.T, s, u string) unit.Quantity {
	t.Helper()
	v, err := unit.Parse(s, u, '.')
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func read(t *testing.T, test string, values ...string) *job.Arrival {
	a := &job.Arrival{}
	for _, v := range values {
		f := strings.Fields(v)
		n := job.Noted{IntakeV1: job.IntakeV1{Panel: &job.PanelV1{Test: test, At: f[0], Value: f[1], Unit: f[2]}}, Quantity: q(t, f[1], f[2])}
		if len(f) > 3 {
			n.Panel.Rpm = f[3]
		}
		a.Intake = append(a.Intake, n)
	}
	return a
}

// marks writes the sheet as a row of marks: . among the others, - low, + high,
// capital B behind it where it means wear, a space where nothing was read.
func marks(s Sheet) string {
	out := ""
	for _, c := range s.Cells {
		switch {
		case c.Read == nil:
			out += " "
		case c.Low:
			out += "L"
		default:
			out += string("-.+"[c.Odd+1])
		}
		if c.Bad {
			out += "B"
		}
	}
	return out
}

// Synthetic: cylinders that a mechanic would point at are marked, others not.
func TestOutliers(t *testing.T) {
	compression := strip.Panel{ID: "compression", Bad: "low", ApartPart: q(t, "5", "%")}
	leak := strip.Panel{ID: "leak", Bad: "high", Apart: q(t, "4", "%")}
	oil := strip.Panel{ID: "oil", Bad: "low", At: []string{"cold", "hot"}, Hot: []string{"hot"}, PerRpm: q(t, "0.7", "bar")}
	for _, c := range []struct {
		what string
		test strip.Panel
		read []string
		want string
	}{
		{"one low", compression, []string{"1 12.1 bar", "2 12.3 bar", "3 9.6 bar", "4 12.0 bar", "5 12.2 bar"}, "..-B.."},
		{"two low neighbours", compression, []string{"1 12.1 bar", "2 8.2 bar", "3 8.4 bar", "4 12.0 bar", "5 12.2 bar"}, ".-B-B.."},
		{"half of four", compression, []string{"1 12.1 bar", "2 8.2 bar", "3 8.4 bar", "4 12.0 bar"}, ".-B-B. "},
		{"half of four leak", leak, []string{"1 5 %", "2 30 %", "3 28 %", "4 4 %"}, ".+B+B. "},
		{"one high means no wear", compression, []string{"1 12.1 bar", "2 12.3 bar", "3 15.6 bar", "4 12.0 bar", "5 12.2 bar"}, "..+.."},
		{"all worn alike", compression, []string{"1 8.1 bar", "2 8.2 bar", "3 8.0 bar", "4 8.3 bar", "5 8.1 bar"}, "....."},
		{"units mixed", compression, []string{"1 12.1 bar", "2 1210 kPa", "3 139 psi", "4 12.0 bar", "5 175 psi"}, "..-B.."},
		{"two are not enough", compression, []string{"1 12.1 bar", "2 2 bar"}, "..   "},
		{"the last word counts", compression, []string{"1 12.1 bar", "2 12.3 bar", "3 9.6 bar", "3 12.2 bar", "4 12.0 bar", "5 12.2 bar"}, "....."},
		{"all nought", compression, []string{"1 0 bar", "2 0 bar", "3 0 bar"}, "...  "},
		{"a leak", leak, []string{"1 4 %", "2 5 %", "3 22 %", "4 4 %", "5 6 %"}, "..+B.."},
		{"within what the tester tells apart", leak, []string{"1 4 %", "2 4 %", "3 8 %", "4 4 %", "5 4 %"}, "....."},
		{"hot and low", oil, []string{"cold 4.0 bar 900", "hot 1.9 bar 3000"}, ".LB"},
		{"hot and enough", oil, []string{"cold 0.1 bar 900", "hot 2.1 bar 3000"}, ".."},
		{"no speed, no word", oil, []string{"hot 0.2 bar"}, " ."},
	} {
		got := Of([]strip.Panel{c.test}, 5, read(t, c.test.ID, c.read...))
		if m := marks(got[0]); m != c.want {
			t.Errorf("%s: %q, want %q", c.what, m, c.want)
		}
	}
}
