package lubricant

import (
	"math"
	"testing"
)

// Law: no oil that is taken gives NaN, infinity, nought or less at any
// temperature and rate, nor with fuel in it.
func FuzzOil(f *testing.F) {
	f.Add(40.0, 80.0, 100.0, 13.5, 853.0, 0.00065, 3.7, 1000.0, 120.0, 1e6, 0.05)
	f.Add(-60.0, 2e7, 300.0, 0.21, 600.0, 0.002, 0.0, 1.0, 1e300, 1e300, 0.3)
	f.Add(40.0, 0.7, 46.0, 0.69, 1200.0, 1e-9, 0.7, 1e6, math.Inf(-1), math.NaN(), 0.0)
	f.Fuzz(func(t *testing.T, t1, v1, t2, v2, density, expansion, shear, stress, at, rate, part float64) {
		o, err := NewOil(Datum{Cold: Point{t1, v1 * mm2}, Hot: Point{t2, v2 * mm2}, Density: density, Expansion: expansion, HighShear: shear / 1e3, Stress: stress})
		if err != nil {
			return
		}
		petrol, err := NewOil(Datum{Cold: Point{20, 0.70 * mm2}, Hot: Point{100, 0.33 * mm2}, Density: 770, Expansion: 0.001})
		if err != nil {
			t.Fatal(err)
		}
		all := []Oil{o}
		if d, err := o.Diluted(petrol, part); err == nil {
			all = append(all, d)
		}
		for _, o := range all {
			for _, x := range []float64{o.Dynamic(at), o.Under(at, rate), o.Plateau(at), o.Weight(at), o.Line.Kinematic(at), o.Under(at, math.MaxFloat64)} {
				if !(x > 0) || math.IsInf(x, 0) {
					t.Fatalf("%+v gives %g at %g °C and %g/s", o, x, at, rate)
				}
			}
		}
		if i, err := IndexOf(v1*mm2, v2*mm2); err == nil && (math.IsNaN(i.Value) || math.IsInf(i.Value, 0)) {
			t.Fatalf("index %g of %g and %g", i.Value, v1, v2)
		}
		if g, err := Barus(expansion, stress); err == nil && !(g >= 1 && g < 1e300) {
			t.Fatalf("thickening %g", g)
		}
	})
}
