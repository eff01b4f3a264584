package model

import (
	"math"

	"fettle/internal/base/fault"
	"fettle/internal/physics/crank"
	"fettle/internal/physics/cycle"
)

// Gas is what one cylinder does at a speed and a charge.
type Gas struct {
	*cycle.Result
	Ratio float64   // compression ratio, the mean of all cylinders
	Gauge []float64 // above the crankcase, over its own 720°, Pa
	Knock cycle.KnockIndex
}

// Gas runs the cycle with the mean compression ratio of the engine, the lift and
// timing of the family and the burn of the running file. All cylinders are taken to
// do the same. Waves in the pipes are not in it.
//
// Units:  rad/s, Pa absolute.
// Errors: an engine whose compression ratio nobody knows; what the room refuses.
func (r *Rig) Gas(speed, charge float64) (*Gas, error) {
	s, ratio, err := r.setup(speed, charge)
	if err != nil {
		return nil, err
	}
	res, err := cycle.Run(s, cycle.Options{})
	if err != nil {
		return nil, refused(err)
	}
	g := &Gas{Result: res, Ratio: ratio, Gauge: make([]float64, points)}
	res.Pressure(g.Gauge)
	for i := range g.Gauge {
		g.Gauge[i] -= outside
	}
	if g.Knock, err = res.Knock(r.Running.Charge.Octane.SI()); err != nil {
		return nil, refused(err)
	}
	return g, nil
}

// outside is the pressure in the crankcase, Pa.
const outside = 101325.0

const kelvin = 273.15

func (r *Rig) setup(speed, charge float64) (cycle.Setup, float64, error) {
	f, run := &r.Layout.Family.Engine, r.Running
	ratio := 0.0
	for i := range r.Cylinders {
		ratio += r.Cylinders[i].Ratio.Value / float64(len(r.Cylinders))
	}
	if math.IsNaN(ratio) {
		return cycle.Setup{}, 0, fault.New(fault.Refused, "model.no-ratio")
	}
	chamber, err := crank.OfRatio(r.tables[0].Mechanism().Slider, f.Bore.SI(), ratio)
	if err != nil {
		return cycle.Setup{}, 0, refused(err)
	}
	valves := func(count int, head, centre, duration, flow float64) cycle.Valves {
		opens, closes := centre-duration/2, centre+duration/2
		return cycle.Valves{Count: count, Diameter: head, Discharge: flow, Opens: opens, Closes: closes, Lift: cycle.Lobe(opens, closes, f.Valves.Lift.SI())}
	}
	const overlap = 2 * math.Pi
	// Angles count from where the throw stands at the cylinder's axis, as those of
	// the crank do; a pin offset puts the piston's highest place some tenths of a
	// degree beside it.
	return cycle.Setup{Volume: chamber.Volume, Bore: f.Bore.SI(), Stroke: f.Stroke.SI(), Speed: speed,
		Inlet:    valves(f.Valves.Inlet, f.Valves.InletHead.SI(), overlap+run.Inlet.Centre.SI(), run.Inlet.Duration.SI(), run.Inlet.Flow.SI()),
		Exhaust:  valves(f.Valves.Exhaust, f.Valves.ExhaustHead.SI(), overlap-run.Exhaust.Centre.SI(), run.Exhaust.Duration.SI(), run.Exhaust.Flow.SI()),
		Pressure: charge, Temperature: run.Charge.Temperature.SI() + kelvin, Back: run.Charge.Back.SI(),
		Fuel: cycle.Petrol(), Lambda: run.Charge.Lambda.SI(), Burn: cycle.Burn{Start: run.Burn.Start.SI(), Duration: run.Burn.Duration.SI()},
		Walls: cycle.Walls{Piston: run.Walls.Piston.SI() + kelvin, Head: run.Walls.Head.SI() + kelvin, Liner: run.Walls.Liner.SI() + kelvin}}, ratio, nil
}
