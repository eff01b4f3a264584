package study

import (
	"fmt"
	"math"

	"fettle/internal/maths/summary"

	"gonum.org/v1/gonum/stat/distuv"
)

// Chart holds the limits of a pair of control charts, averages and ranges.
type Chart struct {
	// Mean and MeanRange are the centre lines, Sigma the standard deviation
	// within subgroups, R̄/d₂.
	Mean, MeanRange, Sigma float64
	// Limits of three standard deviations of a mean and of a range.
	MeanLow, MeanHigh, RangeLow, RangeHigh float64
	// MeansOut and RangesOut list the subgroups beyond the limits.
	MeansOut, RangesOut []int
}

// ChartOf works out control limits from equal subgroups.
//
//	x̿ ± 3 R̄/(d₂√n)      R̄ (1 ± 3 d₃/d₂), not below nought
//
// Shapes: k ≥ 2 subgroups of n ≥ 2 readings -> limits.
// Units:  any, kept.
// Errors: too few; subgroups of unequal size, or larger than 1000; a value that
// is not finite.
// Source: D.C. Montgomery, Introduction to Statistical Quality Control, 2nd ed.
// (1991), pp. 206-213; factors worked out by RangeOf.
func ChartOf(subgroups [][]float64) (Chart, error) {
	if len(subgroups) < 2 {
		return Chart{}, fmt.Errorf("study: %d subgroups: at least 2 are needed", len(subgroups))
	}
	n := len(subgroups[0])
	f, err := RangeOf(n)
	if err != nil {
		return Chart{}, err
	}
	var means, ranges []float64
	for g, v := range subgroups {
		if len(v) != n {
			return Chart{}, fmt.Errorf("study: subgroup %d has %d readings, the first has %d: all need as many", g, len(v), n)
		}
		for i, x := range v {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return Chart{}, fmt.Errorf("study: subgroup %d, reading %d is %v: a finite number is needed", g, i, x)
			}
		}
		means, ranges = append(means, mean(v)), append(ranges, span(v))
	}
	c := Chart{Mean: mean(means), MeanRange: mean(ranges)}
	c.Sigma = c.MeanRange / f.D2
	w := 3 * c.Sigma / math.Sqrt(float64(n))
	c.MeanLow, c.MeanHigh = c.Mean-w, c.Mean+w
	c.RangeLow, c.RangeHigh = math.Max(0, c.MeanRange-3*f.D3*c.Sigma), c.MeanRange+3*f.D3*c.Sigma
	for g := range means {
		if means[g] < c.MeanLow || means[g] > c.MeanHigh {
			c.MeansOut = append(c.MeansOut, g)
		}
		if ranges[g] < c.RangeLow || ranges[g] > c.RangeHigh {
			c.RangesOut = append(c.RangesOut, g)
		}
	}
	return c, nil
}

// Capability says how a process fits between two limits.
type Capability struct {
	// Cp compares the widths alone, Cpl and Cpu the room towards each limit,
	// Cpk the lesser; Cpm also counts the distance from the target. All use the
	// spread within subgroups.
	Cp, Cpl, Cpu, Cpk, Cpm float64
	// CpLow and CpHigh hold Cp with the confidence asked for.
	CpLow, CpHigh float64
	// Pp and Ppk are Cp and Cpk with the spread of all readings together.
	Pp, Ppk float64
	// Overall is that spread; N the number of readings.
	Overall float64
	N       int
}

// Tolerance is what a process is held against.
type Tolerance struct{ Lower, Upper, Target float64 }

// CapabilityOf works out capability indices from equal subgroups.
//
//	Cp = (U − L)/6σ    Cpl = (x̿ − L)/3σ    Cpu = (U − x̿)/3σ
//	Cpm = Cp/√{1 + [(x̿ − T)/σ]²}            σ = R̄/d₂
//	Cp √(χ²_{α/2}/ν) … Cp √(χ²_{1−α/2}/ν),   ν = N − 1
//
// Pp and Ppk put the standard deviation of all N readings for σ. The interval
// takes ν as for that standard deviation, as the usual programs do; σ from
// ranges has somewhat fewer degrees of freedom, so it is a little too narrow.
//
// Shapes: k ≥ 2 subgroups of n ≥ 2 readings -> indices.
// Units:  any, one for all; indices have none.
// Errors: as ChartOf; limits that are not finite or not in order; a confidence
// not between 0 and 1; readings that do not differ within subgroups.
// Valid:  normal readings of a process in control; see Chart for the latter.
// Source: as ChartOf; Cpm after L.K. Chan, S.W. Cheng, F.A. Spiring, J. Quality
// Technology 20 (1988) 162-175, from memory.
func CapabilityOf(subgroups [][]float64, tol Tolerance, confidence float64) (Capability, error) {
	if !(tol.Lower < tol.Upper) || math.IsInf(tol.Upper-tol.Lower, 0) || math.IsNaN(tol.Target) || math.IsInf(tol.Target, 0) {
		return Capability{}, fmt.Errorf("study: limits %v and %v, target %v: two finite limits in order and a target are needed", tol.Lower, tol.Upper, tol.Target)
	}
	if !(confidence > 0 && confidence < 1) {
		return Capability{}, fmt.Errorf("study: confidence of %v: between 0 and 1", confidence)
	}
	chart, err := ChartOf(subgroups)
	if err != nil {
		return Capability{}, err
	}
	if chart.Sigma == 0 {
		return Capability{}, fmt.Errorf("study: readings do not differ within any subgroup: capability has no value; the gauge's step is too coarse")
	}
	var all []float64
	for _, v := range subgroups {
		all = append(all, v...)
	}
	whole, err := summary.Describe(all)
	if err != nil {
		return Capability{}, err
	}
	s, x := chart.Sigma, chart.Mean
	c := Capability{N: len(all), Overall: whole.StdDev, Cp: (tol.Upper - tol.Lower) / (6 * s),
		Cpl: (x - tol.Lower) / (3 * s), Cpu: (tol.Upper - x) / (3 * s)}
	c.Cpk = math.Min(c.Cpl, c.Cpu)
	c.Cpm = c.Cp / math.Hypot(1, (x-tol.Target)/s)
	c.Pp = c.Cp * s / c.Overall
	c.Ppk = c.Cpk * s / c.Overall
	chi := distuv.ChiSquared{K: float64(c.N - 1)}
	c.CpLow = c.Cp * math.Sqrt(chi.Quantile((1-confidence)/2)/chi.K)
	c.CpHigh = c.Cp * math.Sqrt(chi.Quantile((1+confidence)/2)/chi.K)
	return c, nil
}
