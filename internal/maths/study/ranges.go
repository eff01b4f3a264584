package study

import (
	"math"
)

// Ranges is a study by average and range.
type Ranges struct {
	// MeanRange is that of each person's trials over all parts; GrandRange the
	// mean of those.
	MeanRange  []float64
	GrandRange float64
	// Difference is the largest less the smallest mean of a person, PartRange
	// that of the means of the parts.
	Difference, PartRange float64
	// K1, K2, K3 are the factors used, to the four decimals that worksheets
	// print.
	K1, K2, K3 float64
	// Negative says that the spread between persons is less than the repeat
	// alone would make it, and counts as nought.
	Negative bool
	Gauge
}

// StudyByRanges estimates the same as StudyByVariances from ranges, as on a
// worksheet. It cannot see an interaction, which then hides in the others.
//
//	EV = R̿ K₁    AV = √[(X̄_diff K₂)² − EV²/(p r)]    PV = R_p K₃
//	K₁ = 1/d₂(r)    K₂ = 1/d₂*(a)    K₃ = 1/d₂*(p),   d₂* = √(d₂² + d₃²)
//
// for p parts, a persons, r trials; d₂* belongs to a single range. The factors
// are worked out and rounded to four decimals, which gives the printed ones.
//
// Shapes: p ≥ 2 parts, a ≥ 2 persons, r ≥ 2 trials -> components.
// Units:  any, kept.
// Errors: too few parts, persons or trials; cells of unequal size; a value that
// is not finite; more than 1000 of anything.
// Source: AIAG, Measurement Systems Analysis, 4th ed. (2010), chapter III B,
// average and range method.
func StudyByRanges(c Crossed) (Ranges, error) {
	p, a, r, err := c.shape()
	if err != nil {
		return Ranges{}, err
	}
	trials, err := RangeOf(r)
	if err != nil {
		return Ranges{}, err
	}
	persons, err := RangeOf(a)
	if err != nil {
		return Ranges{}, err
	}
	parts, err := RangeOf(p)
	if err != nil {
		return Ranges{}, err
	}
	out := Ranges{MeanRange: make([]float64, a), K1: four(1 / trials.D2), K2: four(1 / persons.single()), K3: four(1 / parts.single())}
	partMean, personMean := make([]float64, p), make([]float64, a)
	for i, part := range c {
		for j, cell := range part {
			m := mean(cell)
			partMean[i] += m / float64(a)
			personMean[j] += m / float64(p)
			out.MeanRange[j] += span(cell) / float64(p)
		}
	}
	out.GrandRange, out.Difference, out.PartRange = mean(out.MeanRange), span(personMean), span(partMean)
	ev, x := out.GrandRange*out.K1, out.Difference*out.K2
	av := x*x - ev*ev/float64(p*r)
	if av < 0 {
		out.Negative, av = true, 0
	}
	out.Gauge = gauge(ev, math.Sqrt(av), 0, out.PartRange*out.K3)
	return out, nil
}

func four(x float64) float64 { return math.Round(x*1e4) / 1e4 }

func span(v []float64) float64 {
	lo, hi := v[0], v[0]
	for _, x := range v {
		lo, hi = math.Min(lo, x), math.Max(hi, x)
	}
	return hi - lo
}
