package risk

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// Global are the risks over all that a process makes.
type Global struct {
	// Consumer is the chance that a piece taken at random does not conform and
	// is accepted, Producer that it conforms and is rejected.
	Consumer, Producer float64
	// Accepted is the fraction accepted.
	Accepted float64
}

// Outgoing is the fraction of the accepted that does not conform; zero where
// nothing is accepted.
func (g Global) Outgoing() float64 {
	if g.Accepted == 0 {
		return 0
	}
	return g.Consumer / g.Accepted
}

// GlobalRisks weighs the chance of acceptance with what the process makes.
//
//	R_C = ∫_{η outside T} g₀(η) P(y in A | η) dη
//	R_P = ∫_{η in T} g₀(η) P(y not in A | η) dη,   y normal about η with u
//
// The integrals are sums of Gauss-Legendre rules over pieces no longer than u
// near the limits of acceptance and than the spread of the process elsewhere.
//
// Shapes: tolerance T, acceptance A, scalar u -> three probabilities.
// Units:  one for all -> probabilities.
// Errors: ranges not in order or open at both sides; u not positive.
// Valid:  error below 10⁻¹¹ of probability.
// Source: JCGM 106:2012, 9.5, eq. (17) and (18) from memory of their numbers.
func (p Prior) GlobalRisks(tolerance, acceptance Range, u float64) (Global, error) {
	if err := tolerance.check("tolerance"); err != nil {
		return Global{}, err
	}
	if err := acceptance.check("acceptance"); err != nil {
		return Global{}, err
	}
	if err := uncertain(u); err != nil {
		return Global{}, err
	}
	return p.risks(tolerance, acceptance, u), nil
}

func (p Prior) risks(tolerance, acceptance Range, u float64) Global {
	in := func(x float64) float64 { return p.density(x) * acceptance.within(x, u) }
	out := func(x float64) float64 { return p.density(x) * acceptance.beyond(x, u) }
	lo := math.Min(math.Max(tolerance.Low, p.low), p.high)
	hi := math.Max(math.Min(tolerance.High, p.high), p.low)
	g := Global{
		Consumer: p.integrate(in, p.low, lo, acceptance, u) + p.integrate(in, hi, p.high, acceptance, u),
		Producer: p.integrate(out, lo, hi, acceptance, u),
	}
	g.Accepted = g.Consumer + p.integrate(in, lo, hi, acceptance, u)
	return g
}

// integrate sums over pieces in which the integrand is smooth. Where it begins
// at nought like a broken power of x, pieces shrink towards nought and x = b·t⁴
// makes the last one smooth.
func (p Prior) integrate(f func(float64) float64, lo, hi float64, acceptance Range, u float64) float64 {
	if lo >= hi {
		return 0
	}
	cuts := []float64{lo, hi}
	add := func(x float64) {
		if x > lo && x < hi {
			cuts = append(cuts, x)
		}
	}
	for x := lo; x < hi; x += p.grain {
		add(x)
	}
	for _, a := range []float64{acceptance.Low, acceptance.High} {
		for k := -10.0; k <= 10; k++ {
			add(a + k*u)
		}
	}
	if p.edged {
		for x := p.grain / 2; x > 1e-4*p.grain; x /= 2 {
			add(x)
		}
	}
	slices.Sort(cuts)
	var s float64
	for i := 1; i < len(cuts); i++ {
		a, b := cuts[i-1], cuts[i]
		switch {
		case a == b:
		case p.edged && a == 0:
			s += quad.Fixed(func(t float64) float64 { return 4 * b * t * t * t * f(b*t*t*t*t) }, 0, 1, 24, quad.Legendre{}, 0)
		default:
			s += quad.Fixed(f, a, b, 14, quad.Legendre{}, 0)
		}
	}
	return s
}

// GlobalGuard returns the width of the guard band at which the global
// consumer's risk is as chosen, and the risks there. Where the risk is less
// without a band, the width is nought.
//
//	R_C(T guarded by w) = r
//
// Shapes: tolerance, scalars -> scalar and risks.
// Units:  one for tolerance, u and width.
// Errors: limits not in order or both open; u not positive; a risk that is not
// between 0 and 1; two limits between which nothing can be accepted at that
// risk.
// Source: JCGM 106:2012, 9.5.4.
func (p Prior) GlobalGuard(tolerance Range, u, r float64) (float64, Global, error) {
	none, err := p.GlobalRisks(tolerance, tolerance, u)
	if err != nil {
		return 0, Global{}, err
	}
	if err := chance("consumer's risk", r); err != nil {
		return 0, Global{}, err
	}
	if none.Consumer <= r {
		return 0, none, nil
	}
	at := func(w float64) float64 { return p.risks(tolerance, tolerance.Guarded(w), u).Consumer }
	most := (tolerance.High - tolerance.Low) / 2
	if math.IsInf(most, 1) {
		for most = u; at(most) > r; most *= 2 {
		}
	} else if most *= 1 - 1e-9; at(most) > r {
		return 0, Global{}, fmt.Errorf("risk: limits %g apart with u = %g: no guard band brings the global consumer's risk down to %g", tolerance.High-tolerance.Low, u, r)
	}
	w := falling(at, 0, most, r)
	return w, p.risks(tolerance, tolerance.Guarded(w), u), nil
}

// Conformance returns the probability that a value measured as y conforms,
// knowing what the process makes.
//
//	p_c = ∫_{η in T} g₀(η) φ((y − η)/u) dη / ∫ g₀(η) φ((y − η)/u) dη
//
// Shapes: tolerance, scalars -> scalar.
// Units:  one for tolerance, y and u -> probability.
// Errors: as GlobalRisks; a value so far from what the process makes that both
// integrals vanish.
// Source: JCGM 106:2012, 6.2 and 7.2.
func (p Prior) Conformance(tolerance Range, y, u float64) (float64, error) {
	if err := tolerance.check("tolerance"); err != nil {
		return 0, err
	}
	if err := uncertain(u); err != nil {
		return 0, err
	}
	f := func(x float64) float64 { return p.density(x) * math.Exp(-(y-x)*(y-x)/(2*u*u)) }
	near := Range{y, y} // the integrand changes about y as acceptance does about its limits
	lo := math.Min(math.Max(tolerance.Low, p.low), p.high)
	hi := math.Max(math.Min(tolerance.High, p.high), p.low)
	in := p.integrate(f, lo, hi, near, u)
	all := in + p.integrate(f, p.low, lo, near, u) + p.integrate(f, hi, p.high, near, u)
	if !(all > 0) {
		return 0, fmt.Errorf("risk: measured value %v with u = %v: this process makes nothing like it", y, u)
	}
	return in / all, nil
}
