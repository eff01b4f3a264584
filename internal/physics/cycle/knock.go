package cycle

import (
	"fmt"
	"math"
)

// KnockIndex is how far the end gas of a cycle comes towards igniting itself. It
// has no meaning alone and is not shown: the law behind it is off by tens of per
// cent from engine to engine. Only two of them say something.
type KnockIndex struct {
	integral float64 // ∫dt/τ with the fuel's octane number
	octane   float64
}

// Knock counts the end gas of a converged cycle with a fuel.
//
//	∫ dt/τ from inlet closing until the burn ends, the end gas compressed from
//	its state at inlet closing without heat or mixing: c_p dT = R T dp/p
//
// Units:  octane number.
// Errors: an octane number not from 60 to 120.
// Source: A. M. Douaud, P. Eyzat, SAE 780080 (1978); J. C. Livengood, P. C. Wu,
// Symp. Combust. 5 (1955) 347-356 for the integral (from memory).
func (r *Result) Knock(octane float64) (KnockIndex, error) {
	if err := within("the octane number", octane, 60, 120); err != nil {
		return KnockIndex{}, err
	}
	g, t, sum := &r.closing.fresh, r.closing.t, 0.0
	// Logarithms of pressure are cut finely enough for Simpson's rule.
	for i := range len(r.nodes) - 1 {
		a, b := &r.nodes[i], &r.nodes[i+1]
		if a.at >= r.closing.burnt-1e-9 {
			break
		}
		h := b.at - a.at
		mid := hermite(0.5, a.p, b.p, a.dp*h, a.end*h)
		rate := func(p, t float64) float64 { return 1 / Delay(octane, p, t) }
		up := func(t, ratio float64) float64 {
			cp, _ := g.At(t)
			half := t * math.Pow(ratio, g.r/cp/2)
			cp, _ = g.At(half)
			return t * math.Pow(ratio, g.r/cp)
		}
		tm := up(t, mid/a.p)
		te := up(tm, b.p/mid)
		sum += h / 6 * (rate(a.p, t) + 4*rate(mid, tm) + rate(b.p, te))
		t = te
	}
	sum /= r.closing.speed
	if !(sum > 0) || math.IsInf(sum, 1) {
		return KnockIndex{}, fmt.Errorf("cycle: no knock index for this cycle: the end gas ends at %.0f K", t)
	}
	return KnockIndex{sum, octane}, nil
}

// Margin is one cycle's distance from knock beside a baseline's.
type Margin struct {
	Ratio  float64 // index over the baseline's: above one is nearer to knock
	Octane float64 // octane numbers to spare beside the baseline: the fuel may be so much poorer; below nought it must be better
}

// Against sets a cycle beside a baseline that the user names, an engine and a
// fuel that are known to live.
//
//	ratio = K/K₀;  octane = ON (1 − (K/K₀)^(1/3.402)), since K ~ ON^−3.402
//
// Units:  number; octane numbers of the cycle's own fuel.
// Errors: none.
func (k KnockIndex) Against(baseline KnockIndex) Margin {
	ratio := k.integral / baseline.integral
	return Margin{Ratio: ratio, Octane: k.octane * (1 - math.Pow(ratio, 1/3.402))}
}
