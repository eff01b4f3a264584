package cycle

import "math"

// Wiebe is the share that has burnt.
//
//	x = 1 − exp(−a zᵐ⁺¹),  z = (θ − θ₀)/Δθ
//
// Units:  all numbers; z from 0 on.
// Errors: none.
// Source: J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 9.30
// (from memory).
func Wiebe(z, a, m float64) float64 {
	if z <= 0 {
		return 0
	}
	return -math.Expm1(-a * math.Pow(z, m+1))
}

// Woschni is the exponent of temperature in the two printed forms of the
// correlation for heat to the walls; they differ by some 14 %.
type Woschni float64

// The forms of G. Woschni, SAE 670931 (1967).
const (
	Woschni53 Woschni = 0.53 // h = 129.8 B^−0.2 p^0.8 T^−0.53 w^0.8, p in bar
	Woschni55 Woschni = 0.55 // h = 3.26 B^−0.2 p^0.8 T^−0.55 w^0.8, p in kPa; Heywood, eq. 12.19
)

// Coefficient is the heat transfer coefficient.
//
// Units:  m, Pa, K, m/s -> W/(m²·K).
// Errors: none for positive arguments.
// Source: as the constants; 129.8 and 3.26 are one number in two units.
func (f Woschni) Coefficient(bore, p, t, w float64) float64 {
	if f == Woschni53 {
		return 129.8 * math.Pow(bore, -0.2) * math.Exp(0.8*math.Log(p*1e-5*w)-0.53*math.Log(t))
	}
	return 3.26 * math.Pow(bore, -0.2) * math.Exp(0.8*math.Log(p*1e-3*w)-0.55*math.Log(t))
}

// Delay is the time to self-ignition of the end gas.
//
//	τ = 17.68 ms (ON/100)^3.402 p^−1.7 e^(3800 K/T), p in atm
//
// Units:  octane number, Pa, K -> s.
// Errors: none for positive arguments.
// Valid:  octane numbers near 80 to 100; slow-burning engines of its time.
// Source: A. M. Douaud, P. Eyzat, SAE 780080 (1978); constants read in several
// public listings.
func Delay(octane, p, t float64) float64 {
	return 17.68e-3 * math.Pow(octane/100, 3.402) * math.Exp(3800/t-1.7*math.Log(p/101325))
}

// Curtain is the flow area of a valve: that under its seat, at most that of its
// throat, 0.9 of the seat's diameter.
//
//	min(π D L, π (0.9 D)²/4)
//
// Units:  m, m -> m².
// Errors: none.
// Source: common practice; J. B. Heywood (1988), section 6.3.2 has three regimes
// with the seat's angle (from memory), up to a third smaller at mid lift.
func Curtain(diameter, lift float64) float64 {
	return math.Min(math.Pi*diameter*math.Max(lift, 0), math.Pi/4*0.81*diameter*diameter)
}

// linear is the part of the upstream pressure below which flow is taken as
// proportional to the difference: a root has an infinite slope at nought.
const linear = 1e-3

// orifice is the flow through an ideal nozzle of 1 m².
//
//	p₀/√(RT₀) √(2γ/(γ−1) (Π^(2/γ) − Π^((γ+1)/γ))), Π = p/p₀, not below the choked Π*
//
// Source: J. B. Heywood (1988), appendix C (from memory).
func orifice(p0, p, rt, gamma, band float64) float64 {
	ratio := p / p0
	scale := 1.0
	if d := 1 - ratio; d < band {
		scale, ratio = d/band, 1-band
	}
	g1 := gamma - 1
	// (2/(γ+1))^(γ/(γ−1)) by one logarithm; the flow beyond is that at Π*.
	if ratio < 0.65 {
		if choked := math.Exp(gamma / g1 * math.Log(2/(gamma+1))); ratio < choked {
			ratio = choked
		}
	}
	y := math.Exp(math.Log(ratio) / gamma)
	return scale * p0 * math.Sqrt(2*gamma/g1*y*(y-ratio)/rt)
}
