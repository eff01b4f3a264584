package study

import (
	"fmt"
	"math"

	"fettle/internal/maths/summary"

	"gonum.org/v1/gonum/stat/distuv"
)

// Source is one line of the table of an analysis of variance.
type Source struct {
	DF           int
	SumOfSquares float64
	MeanSquare   float64
	// F is the mean square over that of the line it is tested against, P the
	// chance of one as great where the source has no effect. Both are zero in
	// lines that are not tested.
	F, P float64
}

// Variances is a study by analysis of variance.
type Variances struct {
	// Parts and Persons are tested against Interaction, Interaction against
	// Repeat, as the table of the full model prints them.
	Parts, Persons, Interaction, Repeat, Total Source
	// Pooled says that the interaction was put together with the repeat,
	// because its P exceeds Alpha.
	Pooled bool
	Alpha  float64
	// Negative says that an estimate of a variance came out below nought, as
	// happens by chance where there is next to none, and counts as nought.
	Negative bool
	Gauge
}

// StudyByVariances splits the readings of a crossed study into parts, persons,
// their interaction and repeat, all but the repeat as random draws.
//
//	MS_E = σ²_E                MS_PA = σ²_E + r σ²_PA
//	MS_A = σ²_E + r σ²_PA + p r σ²_A     MS_P = σ²_E + r σ²_PA + a r σ²_P
//
// for p parts, a persons, r trials. Where P of the interaction exceeds alpha,
// its sum of squares and degrees of freedom are pooled with those of the repeat
// and the model has no interaction:
//
//	MS_E' = (SS_PA + SS_E)/(df_PA + df_E) = σ²_E,  σ²_PA = 0
//
// The manual's alpha is 0.05; 0.25 is the usual cautious choice; 1 never pools.
//
// Shapes: p ≥ 2 parts, a ≥ 2 persons, r ≥ 2 trials -> table and components.
// Units:  any, kept; squares of it in sums and mean squares.
// Errors: too few parts, persons or trials; cells of unequal size; a value that
// is not finite; alpha outside 0 to 1; no spread within any cell, for which F
// has no value.
// Source: AIAG, Measurement Systems Analysis, 4th ed. (2010), chapter III B,
// method of analysis of variance.
func StudyByVariances(c Crossed, alpha float64) (Variances, error) {
	p, a, r, err := c.shape()
	if err != nil {
		return Variances{}, err
	}
	if !(alpha >= 0 && alpha <= 1) {
		return Variances{}, fmt.Errorf("study: alpha of %v for pooling: from 0 to 1", alpha)
	}
	v := c.sums(p, a, r)
	v.Alpha = alpha
	if v.Repeat.SumOfSquares == 0 {
		return Variances{}, fmt.Errorf("study: no cell has readings that differ: F has no value; the gauge's step is too coarse for this study")
	}
	v.Interaction.test(v.Repeat)
	v.Parts.test(v.Interaction)
	v.Persons.test(v.Interaction)
	e, pa := v.Repeat, v.Interaction
	if v.Pooled = pa.P > alpha; v.Pooled {
		e = line(pa.DF+e.DF, pa.SumOfSquares+e.SumOfSquares)
		pa = e
	}
	sd := func(over, under, n float64) float64 {
		if over < under {
			v.Negative = true
			return 0
		}
		return math.Sqrt((over - under) / n)
	}
	interaction := 0.0
	if !v.Pooled {
		interaction = sd(pa.MeanSquare, e.MeanSquare, float64(r))
	}
	hands := sd(v.Persons.MeanSquare, pa.MeanSquare, float64(p*r))
	parts := sd(v.Parts.MeanSquare, pa.MeanSquare, float64(a*r))
	v.Gauge = gauge(math.Sqrt(e.MeanSquare), hands, interaction, parts)
	return v, nil
}

func line(df int, ss float64) Source {
	return Source{DF: df, SumOfSquares: ss, MeanSquare: ss / float64(df)}
}

// test sets F and P against another line. An interaction of exactly nought
// tests nothing.
func (s *Source) test(against Source) {
	if against.MeanSquare == 0 {
		return
	}
	s.F = s.MeanSquare / against.MeanSquare
	s.P = distuv.F{D1: float64(s.DF), D2: float64(against.DF)}.Survival(s.F)
}

// sums returns the five lines of the table. Squares are taken of deviations
// from the grand mean, so that readings far from nought keep their digits.
func (c Crossed) sums(p, a, r int) Variances {
	var all []float64
	for _, part := range c {
		for _, cell := range part {
			all = append(all, cell...)
		}
	}
	grand := mean(all)
	var within, total []float64
	partMean, personMean, cellMean := make([]float64, p), make([]float64, a), make([]float64, p*a)
	for i, part := range c {
		for j, cell := range part {
			d := less(cell, grand)
			m := mean(d)
			cellMean[i*a+j] = m
			partMean[i] += m / float64(a)
			personMean[j] += m / float64(p)
			within, total = append(within, less(d, m)...), append(total, d...)
		}
	}
	left := make([]float64, p*a)
	rest := mean(cellMean) // what the rounding of the grand mean leaves
	for i := range p {
		for j := range a {
			left[i*a+j] = cellMean[i*a+j] - partMean[i] - personMean[j] + rest
		}
	}
	n := float64(r)
	return Variances{
		Parts:       line(p-1, n*float64(a)*squares(less(partMean, rest))),
		Persons:     line(a-1, n*float64(p)*squares(less(personMean, rest))),
		Interaction: line((p-1)*(a-1), n*squares(left)),
		Repeat:      line(p*a*(r-1), squares(within)),
		Total:       line(p*a*r-1, squares(less(total, rest))),
	}
}

func mean(v []float64) float64 { return summary.Sum(v) / float64(len(v)) }

func less(v []float64, m float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = x - m
	}
	return out
}

func squares(v []float64) float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = x * x
	}
	return summary.Sum(out)
}
