package risk

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Prior is what a process is known to make, before anything is measured.
type Prior struct {
	density func(float64) float64
	// below and above are the chance of less and of more.
	below, above func(float64) float64
	// low and high hold all but 10⁻²⁰ of it, grain is the least length over
	// which it changes.
	low, high, grain float64
	// edged says that the density begins at nought like a power of x.
	edged bool
}

// Normal is a process with a mean and a standard deviation.
//
// Errors: a mean that is not finite; a deviation that is not positive.
func Normal(mean, sd float64) (Prior, error) {
	if math.IsNaN(mean) || math.IsInf(mean, 0) || !(sd > 0) || math.IsInf(sd, 1) {
		return Prior{}, fmt.Errorf("risk: normal process with mean %v and deviation %v: a finite mean and a positive deviation are needed", mean, sd)
	}
	return Prior{
		density: distuv.Normal{Mu: mean, Sigma: sd}.Prob,
		below:   func(x float64) float64 { return phi((x - mean) / sd) },
		above:   func(x float64) float64 { return phi((mean - x) / sd) },
		low:     mean - 9.3*sd, high: mean + 9.3*sd, grain: sd,
	}, nil
}

// Gamma is a process that makes nothing below nought, with a shape and a mean.
// Run-out and form are often so.
//
// Errors: a shape below 1 or above 10⁶, a mean that is not positive.
func Gamma(shape, mean float64) (Prior, error) {
	if !(shape >= 1 && shape <= 1e6) || !(mean > 0) || math.IsInf(mean, 1) {
		return Prior{}, fmt.Errorf("risk: gamma process with shape %v and mean %v: a shape from 1 to 10⁶ and a positive mean are needed", shape, mean)
	}
	g := distuv.Gamma{Alpha: shape, Beta: shape / mean}
	sd := mean / math.Sqrt(shape)
	p := Prior{density: g.Prob, below: g.CDF, above: g.Survival, high: mean + 12*sd, grain: sd, edged: true}
	for g.Survival(p.high) > 1e-20 {
		p.high += sd
	}
	p.low = math.Max(0, mean-12*sd)
	for p.low > 0 && g.CDF(p.low) > 1e-20 {
		p.low = math.Max(0, p.low-sd)
	}
	return p, nil
}

// Nonconforming returns which fraction of a process lies outside a tolerance.
//
//	1 − G₀(T_U) + G₀(T_L)
//
// Shapes: scalars -> scalar.
// Units:  tolerance in the unit of the process -> probability.
// Errors: limits not in order or both open.
// Source: JCGM 106:2012, 9.5.
func (p Prior) Nonconforming(tolerance Range) (float64, error) {
	if err := tolerance.check("tolerance"); err != nil {
		return 0, err
	}
	var out float64
	if !math.IsInf(tolerance.Low, -1) {
		out += p.below(tolerance.Low)
	}
	if !math.IsInf(tolerance.High, 1) {
		out += p.above(tolerance.High)
	}
	return out, nil
}
