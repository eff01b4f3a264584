package plot

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func mustFloat(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// discX returns where the row draws its accepted value.
func discX(t *testing.T, b LimitBar, w float64) float64 {
	t.Helper()
	s := NewSVG(w, RowHeight, "")
	b.Row(s, Pt(0, 0), w)
	doc := s.String()
	i := strings.Index(doc, "<circle")
	if i < 0 {
		t.Fatalf("no mark in %s", doc)
	}
	return attrFloat(t, doc[i:], "cx")
}

// Law: a value at a limit stands on that limit's line, the middle in the
// middle, and the limits stand at the same places in every bar of a width.
func TestValueStandsAgainstLimits(t *testing.T) {
	for _, lim := range [][2]float64{{83, 83.02}, {-0.4, 0.1}, {0, 1200}} {
		b := LimitBar{Min: &lim[0], Max: &lim[1], Verdict: Accept}
		for _, c := range []struct{ part, x float64 }{{0, 0.19 * 144}, {0.5, 72}, {1, 0.81 * 144}} {
			v := lim[0] + c.part*(lim[1]-lim[0])
			b.Value = &v
			if x := discX(t, b, RowWidth); math.Abs(x-c.x) > 0.0051 {
				t.Errorf("limits %v: value at part %v drawn at %v, want %v", lim, c.part, x, c.x)
			}
		}
	}
}

// Law: the larger value never stands to the left of the smaller, nothing is
// drawn outside the bar, and a value beyond the window is flagged on its side.
func TestBarIsMonotonicAndBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-1e3, 1e3)
		lo := num.Draw(t, "lo")
		hi := lo + rapid.Float64Range(1e-4, 100).Draw(t, "width")
		b := LimitBar{U: rapid.Float64Range(0, 1).Draw(t, "U")}
		switch rapid.IntRange(0, 2).Draw(t, "sides") {
		case 0:
			b.Min, b.Max = &lo, &hi
		case 1:
			b.Min = &lo
		case 2:
			b.Max = &hi
		}
		s := b.scale(5, 200)
		if !(s.v1 > s.v0) {
			t.Fatalf("scale has no width: %v to %v", s.v0, s.v1)
		}
		v, w := num.Draw(t, "v"), num.Draw(t, "w")
		xv, bv := s.inside(min(v, w))
		xw, bw := s.inside(max(v, w))
		if xv > xw || bv > bw || xv < 5 || xw > 205 {
			t.Fatalf("order lost or outside: %v %v (%d, %d)", xv, xw, bv, bw)
		}
		if (bw == 1) != (s.at(max(v, w)) > s.right) {
			t.Fatal("beyond is not flagged")
		}
		for _, lim := range []*float64{b.Min, b.Max} {
			if lim == nil {
				continue
			}
			if _, beyond := s.inside(*lim); beyond != 0 {
				t.Fatalf("limit %v is outside the window", *lim)
			}
		}
	})
}

// Law: a guard band lies inside its limit and is as wide as it says; bands
// that would meet become one, and none passes the other limit.
func TestGuardBands(t *testing.T) {
	lo, hi := 10.0, 20.0
	at := func(g float64, b LimitBar) [][2]float64 {
		b.Guard = g
		return b.guards(b.scale(0, 100)) // limits at 19 and 81
	}
	both := LimitBar{Min: &lo, Max: &hi}
	for _, c := range []struct {
		name string
		got  [][2]float64
		want [][2]float64
	}{
		{"both", at(1, both), [][2]float64{{19, 25.2}, {74.8, 81}}},
		{"meeting", at(6, both), [][2]float64{{19, 81}}},
		{"wider than the limits", at(60, both), [][2]float64{{19, 81}}},
		{"only max", at(2, LimitBar{Max: &hi}), [][2]float64{{74.8, 81}}},
		{"none", at(0, both), nil},
	} {
		if len(c.got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
			continue
		}
		for i := range c.want {
			for k := range 2 {
				if math.Abs(c.got[i][k]-c.want[i][k]) > 1e-9 {
					t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
				}
			}
		}
	}
}

// Law: the whisker's caps stand at value ± U.
func TestWhisker(t *testing.T) {
	lo, hi, v := 0.0, 10.0, 4.0
	b := LimitBar{Min: &lo, Max: &hi, Value: &v, U: 1.5, Verdict: Accept}
	s := NewSVG(100, RowHeight, "")
	b.Row(s, Pt(0, 0), 100)
	for _, end := range []float64{2.5, 5.5} {
		want := `<path d="M` + string(num(nil, 19+6.2*end)) + ` 3V15" class="s-pen narrow"/>`
		if !strings.Contains(s.String(), want) {
			t.Errorf("no cap at %v: want %s in %s", end, want, s.String())
		}
	}
}

// Law: far outside is shown by an arrow and no whisker; not measured by a
// dashed square; a value in plain sight by neither.
func TestBarStates(t *testing.T) {
	lo, hi, far, in := 0.0, 10.0, 900.0, 5.0
	row := func(v *float64, d Verdict) string {
		s := NewSVG(RowWidth, RowHeight, "")
		LimitBar{Min: &lo, Max: &hi, Value: v, U: 1, Verdict: d}.Row(s, Pt(0, 0), RowWidth)
		return s.String()
	}
	arrow := `class="f-out"/>`
	if n := strings.Count(row(&far, Reject), arrow); n != 2 { // octagon and arrow
		t.Errorf("far outside: %d filled shapes, want octagon and arrow", n)
	}
	if n := strings.Count(row(&in, Accept), `class="f-in"/>`); n != 1 {
		t.Errorf("in sight: %d filled shapes, want one disc", n)
	}
	if s := row(nil, Unmeasured); !strings.Contains(s, "s-unmeasured sign") || !strings.Contains(s, "s-unmeasured dashed") {
		t.Errorf("not measured lacks its dashes: %s", s)
	}
}

// Law: labels of a large bar keep within it, wherever the value lies.
func TestLargeLabelsStayInside(t *testing.T) {
	for _, b := range bars() {
		b.Labels.Amount = "0.0043 mm over"
		s := NewSVG(LargeWidth, LargeHeight, "")
		b.Large(s, Pt(0, 0), LargeWidth)
		for _, tag := range strings.Split(s.String(), "<text")[1:] {
			tag, rest, _ := strings.Cut(tag, ">")
			words, _, _ := strings.Cut(rest, "<")
			w := Width(words, attrFloat(t, tag, "font-size"), Regular)
			x := attrFloat(t, tag, "x")
			if strings.Contains(tag, " m") {
				x -= w / 2
			}
			if strings.Contains(tag, " e\"") {
				x -= w
			}
			if x < -0.1 || x+w > LargeWidth+0.1 {
				t.Errorf("%q from %v to %v leaves the bar", words, x, x+w)
			}
		}
	}
}
