package mains

import (
	"fmt"
	"math"
)

// Law is how a bearing pushes back: the force along the line of centres by how
// far the journal is from the middle of the bore, and how fast it grows. It never
// falls with the distance; this is what makes the answer one.
type Law struct {
	linear float64 // N/m where it is a plain spring, else 0
	of     func(e float64) (force, slope float64)
}

// At is the force and its slope at a distance.
func (l Law) At(e float64) (force, slope float64) {
	if l.linear > 0 {
		return l.linear * e, l.linear
	}
	return l.of(e)
}

// Spring is a plain spring without clearance.
//
// Shapes: scalar -> law.
// Units:  N/m.
// Errors: a stiffness outside 10⁴ to 10¹⁴ N/m.
// Source: definition.
func Spring(k float64) (Law, error) {
	if err := stiff(k); err != nil {
		return Law{}, err
	}
	return Law{linear: k}, nil
}

func stiff(k float64) error {
	if !(k >= 1e4 && k <= 1e14) {
		return fmt.Errorf("mains: stiffness %g N/m: 10⁴ to 10¹⁴ is expected", k)
	}
	return nil
}

func gap(c float64) error {
	if !(c >= 1e-6 && c <= 5e-3) {
		return fmt.Errorf("mains: radial clearance %g m: 1 µm to 5 mm is expected", c)
	}
	return nil
}

// within is the part of the stiffness that the oil in a gap lends the journal,
// so that one that touches nothing has a place.
const within = 1e-4

// Gap is a clearance with a stiff wall behind it; in the clearance a ten
// thousandth of the stiffness holds the journal.
//
// Shapes: radial clearance, stiffness -> law.
// Units:  m, N/m.
// Errors: a clearance outside 1 µm to 5 mm; a stiffness outside 10⁴ to 10¹⁴ N/m.
// Source: definition.
func Gap(c, k float64) (Law, error) {
	if err := stiff(k); err != nil {
		return Law{}, err
	}
	if err := gap(c); err != nil {
		return Law{}, err
	}
	return Law{of: func(e float64) (float64, float64) {
		if e <= c {
			return within * k * e, within * k
		}
		return within*k*e + k*(e-c), (1 + within) * k
	}}, nil
}

// Film is a film given as a table of load over eccentricity ratio, between its
// rows and beyond its last on straight lines; from nought at no eccentricity.
//
// Shapes: radial clearance, two lists of n ≥ 2 -> law.
// Units:  m, 1, N.
// Errors: a clearance outside 1 µm to 5 mm; lists that do not begin at 0, 0, do
// not rise from row to row, are of different lengths, or reach beyond 10⁹ N or
// ratio 2; a slope outside 10⁴ to 10¹⁴ N/m.
// Source: the table is the caller's.
func Film(c float64, ratio, load []float64) (Law, error) {
	if err := gap(c); err != nil {
		return Law{}, err
	}
	if len(ratio) != len(load) || len(ratio) < 2 || ratio[0] != 0 || load[0] != 0 {
		return Law{}, fmt.Errorf("mains: %d eccentricity ratios and %d loads: two lists of one length that begin with 0 and 0 are expected", len(ratio), len(load))
	}
	e, f := make([]float64, len(ratio)), append([]float64(nil), load...)
	for i := range ratio {
		e[i] = c * ratio[i]
		if i == 0 {
			continue
		}
		if !(ratio[i] > ratio[i-1] && load[i] > load[i-1] && ratio[i] <= 2 && load[i] <= 1e9) {
			return Law{}, fmt.Errorf("mains: row %d of a film, %g and %g N: more than the row before, at most 2 and 10⁹ N, is expected", i+1, ratio[i], load[i])
		}
		if err := stiff((f[i] - f[i-1]) / (e[i] - e[i-1])); err != nil {
			return Law{}, err
		}
	}
	return Law{of: func(x float64) (float64, float64) {
		i := 1
		for i < len(e)-1 && x > e[i] {
			i++
		}
		k := (f[i] - f[i-1]) / (e[i] - e[i-1])
		return f[i-1] + k*(x-e[i-1]), k
	}}, nil
}

// fullest is the eccentricity ratio from where a short film goes on straight:
// beyond it shells and shafts give way, which is not in the model.
const fullest = 0.98

// Short is the steady film of a short bearing, with the direction of its load
// taken as the line of centres.
//
//	W = μ ω R L³/(4 c²) · ε/(1 − ε²)² · √(π² (1 − ε²) + 16 ε²)
//
// Shapes: scalars -> law.
// Units:  viscosity Pa·s, speed rad/s, radius and width m, radial clearance m.
// Errors: a value that is not positive; a stiffness in the middle outside 10⁴ to
// 10¹² N/m; a clearance outside 1 µm to 5 mm.
// Valid:  steady load, width to half the diameter; the film of a real cycle is
// stiffer by squeezing. Give Film a table of a better one where there is one.
// Source: F. W. Ocvirk, NACA TN 2808 (1952), from memory.
func Short(viscosity, speed, radius, width, c float64) (Law, error) {
	for _, x := range []float64{viscosity, speed, radius, width} {
		if !(x > 0) || math.IsInf(x, 0) {
			return Law{}, fmt.Errorf("mains: viscosity %g Pa·s, speed %g rad/s, radius %g m, width %g m: numbers above nought are expected", viscosity, speed, radius, width)
		}
	}
	if err := gap(c); err != nil {
		return Law{}, err
	}
	scale := viscosity * speed * radius * width * width * width / (4 * c * c)
	if k := math.Pi * scale / c; !(k >= 1e4 && k <= 1e12) {
		return Law{}, fmt.Errorf("mains: a film of %g N/m in the middle: 10⁴ to 10¹² is expected", k)
	}
	curve := func(x float64) (w, d float64) {
		a, root := 1-x*x, sqrt(math.Pi*math.Pi*(1-x*x)+16*x*x)
		w = x / (a * a) * root
		d = root/(a*a) + 4*x*x*root/(a*a*a) + x/(a*a)*(16-math.Pi*math.Pi)*x/root
		return scale * w, scale * d / c
	}
	last, slope := curve(fullest)
	return Law{of: func(e float64) (float64, float64) {
		if x := e / c; x < fullest {
			return curve(x)
		}
		return last + slope*(e-fullest*c), slope
	}}, nil
}

// Behind is a bearing in a housing that gives way: the law and a spring in a
// row. The distance is then that of the journal from where the bore's middle
// stands without load, film and housing together.
//
//	x = e + f(e)/k
//
// Shapes: law, stiffness -> law.
// Units:  N/m.
// Errors: a stiffness outside 10⁴ to 10¹⁴ N/m; no law.
// Source: springs in a row.
func Behind(l Law, k float64) (Law, error) {
	if err := stiff(k); err != nil {
		return Law{}, err
	}
	if l.linear > 0 {
		return Law{linear: l.linear * k / (l.linear + k)}, nil
	}
	if l.of == nil {
		return Law{}, fmt.Errorf("mains: no law stands before the housing")
	}
	return Law{of: func(x float64) (float64, float64) {
		lo, hi, e := 0.0, x, x
		f, slope := l.of(e)
		for range 100 {
			over := e + f/k - x
			if over > 0 {
				hi = e
			} else {
				lo = e
			}
			next := e - over/(1+slope/k)
			if !(next >= lo && next <= hi) {
				next = (lo + hi) / 2
			}
			if math.Abs(next-e) <= 1e-15*x {
				break
			}
			e = next
			f, slope = l.of(e)
		}
		if slope > k { // the softer of the two tells the force with more digits
			f = k * (x - e)
		}
		return f, k * slope / (k + slope)
	}}, nil
}
