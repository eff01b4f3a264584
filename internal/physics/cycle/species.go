package cycle

import "math"

// molar is the gas constant, J/(mol·K).
const molar = 8.314462618

// standard is the temperature at which heats of formation are given, K.
const standard = 298.15

// species is one gas as a pair of polynomials that meet at 1000 K.
//
//	c_p/R = a₁ + a₂T + a₃T² + a₄T³ + a₅T⁴
//	h/(RT) = a₁ + a₂T/2 + a₃T²/3 + a₄T³/4 + a₅T⁴/5 + a₆/T
//	s/R = a₁ ln T + a₂T + a₃T²/2 + a₄T³/3 + a₅T⁴/4 + a₇
type species struct {
	mass      float64 // kg/mol
	low, high [7]float64
}

// Species of air and of burnt gas.
const (
	n2 = iota
	o2
	co2
	h2o
	co
	h2
	ar
)

// kinds are the polynomials. N₂ and Ar begin at 300 K, the others at 200 K; O₂,
// CO₂, H₂O, CO and H₂ end at 3500 K.
//
// Source: B. J. McBride, S. Gordon, M. A. Reno, NASA TM-4513 (1993), as carried
// by the GRI-Mech 3.0 thermodynamic set, read in an open-source kinetics library.
var kinds = [...]species{
	n2: {0.0280134, [7]float64{3.298677, 0.00140824, -3.963222e-06, 5.641515e-09, -2.444854e-12, -1020.9, 3.950372},
		[7]float64{2.92664, 0.001487977, -5.68476e-07, 1.009704e-10, -6.753351e-15, -922.7977, 5.980528}},
	o2: {0.0319988, [7]float64{3.782456, -0.002996734, 9.847302e-06, -9.681295e-09, 3.243728e-12, -1063.944, 3.657676},
		[7]float64{3.282538, 0.001483088, -7.579667e-07, 2.094706e-10, -2.167178e-14, -1088.458, 5.453231}},
	co2: {0.0440095, [7]float64{2.356774, 0.008984597, -7.123563e-06, 2.45919e-09, -1.436995e-13, -48371.97, 9.901052},
		[7]float64{3.85746, 0.00441437, -2.214814e-06, 5.234902e-10, -4.720842e-14, -48759.17, 2.271638}},
	h2o: {0.01801528, [7]float64{4.198641, -0.002036434, 6.520402e-06, -5.487971e-09, 1.771978e-12, -30293.73, -0.8490322},
		[7]float64{3.033992, 0.002176918, -1.640725e-07, -9.704199e-11, 1.68201e-14, -30004.3, 4.96677}},
	co: {0.0280101, [7]float64{3.579533, -0.0006103537, 1.016814e-06, 9.070059e-10, -9.044245e-13, -14344.09, 3.508409},
		[7]float64{2.715186, 0.002062527, -9.988258e-07, 2.30053e-10, -2.036477e-14, -14151.87, 7.818688}},
	h2: {0.00201588, [7]float64{2.344331, 0.007980521, -1.947815e-05, 2.015721e-08, -7.376118e-12, -917.9352, 0.6830102},
		[7]float64{3.337279, -4.940247e-05, 4.994568e-07, -1.795664e-10, 2.002554e-14, -950.1589, -3.205023}},
	ar: {0.039948, [7]float64{2.5, 0.0, 0.0, 0.0, 0.0, -745.375, 4.366},
		[7]float64{2.5, 0.0, 0.0, 0.0, 0.0, -745.375, 4.366}},
}

// of gives c_p, h and s of one species at 1 bar, J/(mol·K), J/mol, J/(mol·K).
func (s *species) of(t float64) (cp, h, entropy float64) {
	a := &s.low
	if t >= 1000 {
		a = &s.high
	}
	cp = a[0] + t*(a[1]+t*(a[2]+t*(a[3]+t*a[4])))
	h = a[5] + t*(a[0]+t*(a[1]/2+t*(a[2]/3+t*(a[3]/4+t*a[4]/5))))
	entropy = a[0]*math.Log(t) + a[6] + t*(a[1]+t*(a[2]/2+t*(a[3]/3+t*a[4]/4)))
	return molar * cp, molar * h, molar * entropy
}
