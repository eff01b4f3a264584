package library_test

import (
	"testing"

	"fettle/internal/physics/lubricant"
)

// Law: each shipped oil is one that the model takes, meets the grade it bears and
// has the index of an oil; with a twentieth of the shipped fuel it is thinner.
func TestOilsMeetTheirGrades(t *testing.T) {
	l, _ := shipped(t)
	shelf := l.Lubricants()
	fu := shelf.Fuels[0]
	fuel, err := lubricant.NewOil(lubricant.Datum{Cold: lubricant.Point{T: 20, V: fu.At20.SI()}, Hot: lubricant.Point{T: 100, V: fu.At100.SI()}, Density: fu.Density.SI()})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range shelf.Oils {
		o, err := lubricant.NewOil(lubricant.Datum{Cold: lubricant.Point{T: 40, V: x.At40.SI()}, Hot: lubricant.Point{T: 100, V: x.At100.SI()}, Density: x.Density.SI(), HighShear: x.HighShear.SI()})
		if err != nil {
			t.Errorf("%s: %v", x.ID, err)
			continue
		}
		g, err := lubricant.GradeOf(x.Grade)
		if err != nil {
			t.Errorf("%s: %v", x.ID, err)
		}
		if miss := g.Misses(lubricant.Tested{At100: x.At100.SI(), HighShear: o.Under(lubricant.ShearTest, lubricant.ShearRate)}); len(miss) > 0 {
			t.Errorf("%s misses %s: %v", x.ID, x.Grade, miss)
		}
		if i, err := lubricant.IndexOf(x.At40.SI(), x.At100.SI()); err != nil || i.Value < 90 || i.Value > 200 {
			t.Errorf("%s has the index %.0f, %v", x.ID, i.Value, err)
		}
		if d, err := o.Diluted(fuel, 0.05); err != nil || d.Dynamic(100) > 0.85*o.Dynamic(100) {
			t.Errorf("%s with fuel: %v, %v", x.ID, d.Dynamic(100)/o.Dynamic(100), err)
		}
	}
}
