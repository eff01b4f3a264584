package cycle

import (
	"fmt"
	"math"
)

// Gas is a mixture of fixed composition, per kilogram.
type Gas struct {
	r         float64 // J/(kg·K)
	low, high poly
}

// poly is c_p = Σ c_k Tᵏ and h = k + ∫c_p dT, the heat of formation in it.
type poly struct {
	c [5]float64
	h [5]float64 // c_k/(k+1)
	k float64
}

func (p *poly) ready() {
	for i, c := range p.c {
		p.h[i] = c / float64(i+1)
	}
}

// R is the gas constant, J/(kg·K).
func (g *Gas) R() float64 { return g.r }

// At gives heat capacity and enthalpy, heat of formation in it.
//
// Units:  K -> J/(kg·K), J/kg.
// Errors: none; from Coldest to Hottest it is what the polynomials mean.
func (g *Gas) At(t float64) (cp, h float64) {
	p := &g.low
	if t >= 1000 {
		p = &g.high
	}
	cp = p.c[0] + t*(p.c[1]+t*(p.c[2]+t*(p.c[3]+t*p.c[4])))
	h = p.k + t*(p.h[0]+t*(p.h[1]+t*(p.h[2]+t*(p.h[3]+t*p.h[4]))))
	return cp, h
}

// Range of temperatures in which the cycle may move, K; the polynomials are made
// for 300 to 3500 K, and below 300 K N₂ is continued by 0.2 % of its c_p at most.
const (
	Coldest = 200
	Hottest = 3500
)

// mix weighs moles of species into a gas.
func mix(moles map[int]float64) Gas {
	var g Gas
	mass, n := 0.0, 0.0
	for k := range kinds { // in a fixed order
		x := moles[k]
		s := &kinds[k]
		mass, n = mass+x*s.mass, n+x
		for i := range 5 {
			g.low.c[i] += x * molar * s.low[i]
			g.high.c[i] += x * molar * s.high[i]
		}
		g.low.k += x * molar * s.low[5]
		g.high.k += x * molar * s.high[5]
	}
	g.per(mass, n)
	return g
}

// per turns sums over moles into those of a kilogram.
func (g *Gas) per(mass, moles float64) {
	for _, p := range []*poly{&g.low, &g.high} {
		for i := range p.c {
			p.c[i] /= mass
		}
		p.k /= mass
		p.ready()
	}
	g.r = molar * moles / mass
	g.join()
}

// join moves the upper polynomial so that the enthalpy has no step at 1000 K; the
// printed coefficients leave one of up to a few J/mol, and energy would be lost
// at it.
func (g *Gas) join() {
	_, high := g.At(1000)
	p := &g.low
	low := p.k + 1000*(p.h[0]+1000*(p.h[1]+1000*(p.h[2]+1000*(p.h[3]+1000*p.h[4]))))
	g.high.k += low - high
}

// Constant is an ideal gas of constant heat capacity for limits that have a
// closed answer; formation is its enthalpy at 0 K.
//
// Units:  number, J/(kg·K), J/kg.
// Errors: γ not from 1.05 to 1.7, R not from 1 to 10⁴, a formation beyond 10⁹.
func Constant(gamma, r, formation float64) (Gas, error) {
	for _, err := range []error{within("γ", gamma, 1.05, 1.7), within("R in J/(kg·K)", r, 1, 1e4), within("the heat of formation in J/kg", formation, -1e9, 1e9)} {
		if err != nil {
			return Gas{}, err
		}
	}
	p := poly{c: [5]float64{gamma / (gamma - 1) * r}, k: formation}
	p.ready()
	return Gas{r: r, low: p, high: p}, nil
}

// Air is dry air: 1 O₂ to 3.7274 N₂ and 0.0447 Ar.
func Air() Gas { return mix(map[int]float64{o2: 1, n2: airN2, ar: airAr}) }

const (
	airN2 = 3.7274
	airAr = 0.0447
)

// Shifted is the same gas with its heat of formation moved, J/kg: heat that is
// to be set free without a change of composition.
func (g Gas) Shifted(by float64) Gas {
	g.low.k += by
	g.high.k += by
	return g
}

// Fuel is C_c H_h O_o with its lower heating value.
type Fuel struct {
	C, H, O float64
	Heating float64 // J/kg, water as vapour
}

// Petrol is CH₁.₈₇, 44 MJ/kg.
//
// Source: J. B. Heywood, Internal Combustion Engine Fundamentals (1988), table
// D.4 (from memory).
func Petrol() Fuel { return Fuel{C: 1, H: 1.87, Heating: 44e6} }

func (f Fuel) mass() float64 { return (12.0107*f.C + 1.00794*f.H + 15.9994*f.O) / 1000 }

// oxygen is the moles of O₂ that a mole of fuel takes.
func (f Fuel) oxygen() float64 { return f.C + f.H/4 - f.O/2 }

// Stoichiometric is the mass of air that burns a mass of fuel.
//
//	(c + h/4 − o/2)(M_O₂ + 3.7274 M_N₂ + 0.0447 M_Ar)/M_fuel
//
// Errors: none for a fuel that Charge takes.
// Source: balance of elements; J. B. Heywood (1988), eq. 3.6 (from memory).
func (f Fuel) Stoichiometric() float64 {
	return f.oxygen() * (kinds[o2].mass + airN2*kinds[n2].mass + airAr*kinds[ar].mass) / f.mass()
}

// shift is the constant of the water-gas balance CO₂ + H₂ = CO + H₂O by which
// a rich charge shares its oxygen.
const waterGas = 3.5

// Charge makes the fresh mixture and what it burns to.
//
// Lean and stoichiometric charges burn to CO₂, H₂O and what is left of O₂; rich
// ones to CO₂, H₂O, CO and H₂ with n_CO n_H₂O/(n_CO₂ n_H₂) = 3.5. Nothing
// dissociates, so the hottest gas is 100 to 300 K too hot (common knowledge, no
// source).
//
// The fuel is vapour of the heat capacity of iso-octane by carbon, its heat of
// formation such that the heating value comes out at 298.15 K.
//
// Units:  λ number.
// Errors: a fuel without carbon or that needs no air; λ not from 0.6 to 3; a
// heating value not from 1 to 100 MJ/kg.
// Source: balance of elements; constant 3.5 from J. B. Heywood (1988), section
// 4.9.2 (from memory); iso-octane vapour from table 2.2 there (from memory,
// without its term in 1/T², 0.8 % of its heat capacity at 300 K).
func (f Fuel) Charge(lambda float64) (fresh, burnt Gas, err error) {
	for _, err := range []error{within("the carbon of the fuel", f.C, 0.1, 100), within("the hydrogen of the fuel", f.H, 0, 400), within("the oxygen of the fuel", f.O, 0, 200),
		within("the oxygen that the fuel takes", f.oxygen(), 0.1, 300), within("the heating value in J/kg", f.Heating, 1e6, 1e8), within("λ", lambda, 0.6, 3)} {
		if err != nil {
			return Gas{}, Gas{}, err
		}
	}
	need := f.oxygen()
	air := lambda * need
	fresh = mix(map[int]float64{o2: air, n2: airN2 * air, ar: airAr * air})
	// Per mole of fuel, then by mass with the air.
	const cal = 4184.0
	vapour := [4]float64{-0.55313, 181.62e-3, -97.787e-6, 20.402e-9}
	mass := air * (kinds[o2].mass + airN2*kinds[n2].mass + airAr*kinds[ar].mass)
	whole := mass + f.mass()
	_, hc, _ := kinds[co2].of(standard)
	_, hw, _ := kinds[h2o].of(standard)
	_, ho, _ := kinds[o2].of(standard)
	formation := f.C*hc + f.H/2*hw - need*ho + f.Heating*f.mass()
	sensible := 0.0
	for i, v := range vapour {
		sensible += v * cal / 1000 * f.C / 8 * math.Pow(standard, float64(i+1)) / float64(i+1)
	}
	for _, p := range []*poly{&fresh.low, &fresh.high} {
		for i := range p.c {
			p.c[i] *= mass
			if i < 4 {
				p.c[i] += vapour[i] * cal / 1000 * f.C / 8
			}
		}
		p.k = p.k*mass + formation - sensible
	}
	fresh.per(whole, air*(1+airN2+airAr)+1)
	made := map[int]float64{n2: airN2 * air, ar: airAr * air, co2: f.C, h2o: f.H / 2, o2: air - need}
	if lambda < 1 {
		// The missing oxygen atoms are split between CO and H₂.
		missing := 2 * (need - air)
		lo, hi := math.Max(0, missing-f.H/2), math.Min(f.C, missing) // CO made
		if lo > hi {
			return Gas{}, Gas{}, fmt.Errorf("cycle: λ %g leaves too little oxygen for this fuel's carbon", lambda)
		}
		for range 60 {
			x := (lo + hi) / 2
			if x*(f.H/2-missing+x) > waterGas*(f.C-x)*(missing-x) {
				hi = x
			} else {
				lo = x
			}
		}
		made[co], made[co2] = lo, f.C-lo
		made[h2], made[h2o] = missing-lo, f.H/2-missing+lo
		made[o2] = 0
	}
	return fresh, mix(made), nil
}

// within refuses a number that is not in a range.
func within(what string, x, low, high float64) error {
	if x >= low && x <= high { // false for NaN
		return nil
	}
	return fmt.Errorf("cycle: %s is %g; it must be from %g to %g", what, x, low, high)
}
