// Package study judges gauges and processes from many readings: repeatability
// and reproducibility of a gauge in several hands, the daily check of a gauge
// on a master, control charts and capability.
//
// The two methods for gauges answer the same question with different numbers,
// and a result says by which it was made: Variances (analysis of variance) or
// Ranges (average and range). They are not to be mixed in one trend.
//
// Methods, sources and the accuracy reached stand in doc/model/studies.md.
package study

import (
	"fmt"
	"math"
)

// Crossed are the readings of a crossed study: each person reads each part as
// often as every other, indexed [part][person][trial].
type Crossed [][][]float64

// shape checks the readings and returns parts, persons and trials.
func (c Crossed) shape() (parts, persons, trials int, err error) {
	if len(c) < 2 {
		return 0, 0, 0, fmt.Errorf("study: %d parts: at least 2 are needed to tell parts from gauge", len(c))
	}
	parts, persons = len(c), len(c[0])
	if persons < 2 {
		return 0, 0, 0, fmt.Errorf("study: %d persons: at least 2 are needed to know what changes from hand to hand", persons)
	}
	trials = len(c[0][0])
	if trials < 2 {
		return 0, 0, 0, fmt.Errorf("study: %d readings of each part by each person: at least 2 are needed to know the repeat", trials)
	}
	for i, part := range c {
		if len(part) != persons {
			return 0, 0, 0, fmt.Errorf("study: part %d was read by %d persons, part 0 by %d: every person reads every part", i, len(part), persons)
		}
		for j, cell := range part {
			if len(cell) != trials {
				return 0, 0, 0, fmt.Errorf("study: part %d, person %d has %d readings, the first has %d: all need as many", i, j, len(cell), trials)
			}
			for k, v := range cell {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					return 0, 0, 0, fmt.Errorf("study: part %d, person %d, reading %d is %v: a finite number is needed", i, j, k, v)
				}
			}
		}
	}
	return parts, persons, trials, nil
}

// Spread is one source of spread in a study: a standard deviation and what it
// makes of the whole.
type Spread struct {
	// SD is the standard deviation, one sigma.
	SD float64
	// Contribution is its share of the variance, Variation its share of the
	// standard deviation of the whole, both as fractions. Contributions add up
	// to one, variations do not.
	Contribution, Variation float64
}

// Gauge is the outcome of a study of a gauge.
type Gauge struct {
	// Repeat is the spread of one person with one gauge on one part (equipment
	// variation, repeatability).
	Repeat Spread
	// Hands is the spread between persons (appraiser variation,
	// reproducibility); with Interaction kept it does not hold that.
	Hands Spread
	// Interaction is the spread that persons show on some parts and not on
	// others; zero where it was pooled, and by the method of ranges.
	Interaction Spread
	// Gauge is the three together; Part the spread of the parts; Total all.
	Gauge, Part, Total Spread
	// Distinct is how many groups of parts the gauge can tell apart,
	// 1.41·Part/Gauge; Categories is that without its fraction. Both are zero
	// where the gauge shows no spread, and Perfect says so.
	Distinct   float64
	Categories int
	Perfect    bool
}

// distinct is the factor √2 as the manual prints it.
const distinct = 1.41

// gauge puts the components together.
func gauge(repeat, hands, interaction, part float64) Gauge {
	grr := math.Sqrt(repeat*repeat + hands*hands + interaction*interaction)
	total := math.Hypot(grr, part)
	of := func(sd float64) Spread {
		if total == 0 {
			return Spread{SD: sd}
		}
		return Spread{sd, sd * sd / (total * total), sd / total}
	}
	g := Gauge{Repeat: of(repeat), Hands: of(hands), Interaction: of(interaction), Gauge: of(grr), Part: of(part), Total: of(total)}
	if grr == 0 {
		g.Perfect = true
		return g
	}
	g.Distinct = distinct * part / grr
	// A count beyond every shop's parts is no count.
	g.Categories = int(math.Min(g.Distinct, 1e9))
	return g
}

// OfTolerance returns which fraction of a tolerance six standard deviations of
// the gauge take up.
//
//	%Tol = 6·GRR/(upper − lower)
//
// Shapes: tolerance scalar -> scalar.
// Units:  tolerance in the unit of the readings -> fraction.
// Errors: a tolerance that is not a positive number.
// Source: AIAG, Measurement Systems Analysis, 4th ed. (2010), chapter III B.
func (g Gauge) OfTolerance(width float64) (float64, error) {
	if !(width > 0) || math.IsInf(width, 1) {
		return 0, fmt.Errorf("study: tolerance of %v: upper less lower limit must be a positive number", width)
	}
	return 6 * g.Gauge.SD / width, nil
}
