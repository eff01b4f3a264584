package sheet

import (
	"fmt"
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

func alongAxis(dim *family.Dim, only []string) plot.Axis {
	a := plot.Axis{Min: math.Inf(1), Max: math.Inf(-1)}
	for _, v := range dim.Values {
		z := dim.At[v][2]
		a.Min, a.Max = min(a.Min, z), max(a.Max, z)
		a.Ticks = append(a.Ticks, plot.Tick{At: z, Label: v})
	}
	room := (a.Max - a.Min) * 0.12
	a.Min, a.Max = a.Min-room, a.Max+room
	return a
}

// micrometres is an axis over a span with its title.
func (d drawer) micrometres(s *span, title string, ticks int) plot.Axis {
	return d.axis(s, title+" µm", ticks)
}

func (d drawer) axis(s *span, title string, ticks int) plot.Axis {
	lo, hi := s.padded()
	return plot.Axis{Min: lo, Max: hi, Title: title, Ticks: plot.Ticks(lo, hi, ticks, func(v float64, decimals int) string {
		return clean(d.r.Num(fmt.Sprintf("%.*f", decimals, v)))
	})}
}

// span gathers how far an axis must reach.
type span struct{ lo, hi float64 }

func newSpan() *span { return &span{math.Inf(1), math.Inf(-1)} }

func (s *span) add(lo, hi float64) { s.lo, s.hi = min(s.lo, lo), max(s.hi, hi) }

func (s *span) some() bool { return s.hi >= s.lo }

func (s *span) padded() (lo, hi float64) {
	if !s.some() {
		return -1, 1
	}
	room := max((s.hi-s.lo)*0.08, 1e-9, math.Abs(s.hi)*1e-6)
	return s.lo - room, s.hi + room
}

// limits are a value's bounds as deviations from the nominal; they widen the
// span so that they can be seen.
func (s *span) limits(v *assess.Value, nominal float64) (lo, hi *float64) {
	if v.Limit == nil {
		return nil, nil
	}
	for _, b := range []struct {
		from *float64
		to   **float64
	}{{v.Limit.Lo, &lo}, {v.Limit.Hi, &hi}} {
		if b.from != nil {
			y := micro(*b.from - nominal)
			*b.to = &y
			s.add(y, y)
		}
	}
	return lo, hi
}

// micro places a length in metres on an axis in micrometres.
func micro(m float64) float64 { return unit.FromSI(m, "µm") }

// factor is the coverage factor of a value's whisker.
func factor(v *assess.Value) float64 {
	var k float64
	if _, err := fmt.Sscan(v.K, &k); err != nil {
		return 0
	}
	return k
}

func expanded(v *assess.Value) float64 { return micro(factor(v) * v.SU) }

// verdictOf is the mark of a value; one without limits has a plain dot.
func verdictOf(v *assess.Value) plot.Verdict { return plot.Verdict(v.Verdict) }
