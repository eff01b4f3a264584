package cycle

import (
	"math"
	"testing"

	"fettle/internal/physics/crank"
)

const deg = math.Pi / 180

func must[T any](v T, err error) func(testing.TB) T {
	return func(t testing.TB) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func near(t *testing.T, what string, got, want, relative, absolute float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)+absolute) {
		t.Errorf("%s: %.9g, want %.9g within %g of it and %g", what, got, want, relative, absolute)
	}
}

// cylinder is an invented four-valve cylinder of half a litre.
func cylinder(t testing.TB) crank.Cylinder {
	t.Helper()
	return must(crank.OfRatio(must(crank.NewSlider(0.043, 0.143, 0))(t), 0.087, 11))(t)
}

// invented is how it is run: at 6500 rpm, full load. No real engine.
func invented(t testing.TB) Setup {
	t.Helper()
	c := cylinder(t)
	return Setup{
		Volume: c.Volume, Bore: 0.087, Stroke: 0.086, Speed: 6500 * math.Pi / 30,
		Inlet:    Valves{Count: 2, Diameter: 0.034, Discharge: 0.62, Opens: 335 * deg, Closes: 600 * deg, Lift: Lobe(335*deg, 600*deg, 0.0105)},
		Exhaust:  Valves{Count: 2, Diameter: 0.0295, Discharge: 0.62, Opens: 120 * deg, Closes: 385 * deg, Lift: Lobe(120*deg, 385*deg, 0.0098)},
		Pressure: 1e5, Temperature: 310, Back: 1.05e5, Fuel: Petrol(), Lambda: 0.88,
		Burn:  Burn{Start: 25 * deg, Duration: 58 * deg},
		Walls: Walls{Piston: 520, Head: 460, Liner: 420},
	}
}
