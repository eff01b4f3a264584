package film

import (
	"errors"
	"fmt"
	"math"
)

// Estimate is what an emulator gives for a clearance, or by how much it changes
// with it.
type Estimate struct {
	Gap     float64 // least film, m
	Peak    float64 // greatest pressure, Pa
	Loss    float64 // W
	Flow    float64 // side and feed, m³/s
	Celsius float64 // of the film
}

// figures of an estimate are kept in this order; the first four as logarithms,
// which are close to straight in the clearance.
const (
	figures = 5
	logs    = 4
)

func (e *Estimate) list() [figures]float64 {
	return [figures]float64{e.Gap, e.Peak, e.Loss, e.Flow, e.Celsius}
}

func estimateOf(l [figures]float64) Estimate {
	return Estimate{Gap: l[0], Peak: l[1], Loss: l[2], Flow: l[3], Celsius: l[4]}
}

// Emulator is a polynomial of Chebyshev through balanced bearings of some
// clearances, so that many draws of one cost milliseconds.
type Emulator struct {
	Least, Most float64 // range of radial clearances, m
	// Error is by how much it was off, at most, at clearances between its
	// nodes, relative; of Celsius in K.
	Error Estimate
	coef  [figures][]float64
}

// balanceLeaves is what the tolerance of a balance does to its other figures,
// relative: 0.02 K.
const balanceLeaves = 3e-4

// checks are clearances of the range at which an emulator is held against a
// balance of its own: between nodes, near the ends and in the middle.
var checks = [...]float64{0.03, 0.27, 0.46, 0.71, 0.97}

// Emulate makes an emulator of a bearing in its radial clearance.
//
// Shapes: one case, whose Clearance is not looked at -> one emulator.
// Units:  m.
// Errors: fewer than 3 or more than 33 nodes; a range that is empty; a
// clearance of it that has no balance.
// Source: interpolation at Chebyshev's points, any text on approximation.
func Emulate(c HeatCase, least, most float64, nodes, workers int) (*Emulator, error) {
	if nodes < 3 || nodes > 33 {
		return nil, fmt.Errorf("film: an emulator of %d nodes, expected 3 to 33", nodes)
	}
	if !(least > 0 && least < most) || !finite(most) {
		return nil, fmt.Errorf("film: clearances from %g m to %g m, expected a range above 0", least, most)
	}
	cases := make([]HeatCase, 0, nodes+len(checks))
	for i := range nodes {
		c.Clearance = place(least, most, node(i, nodes))
		cases = append(cases, c)
	}
	for _, x := range checks {
		c.Clearance = place(least, most, 2*x-1)
		cases = append(cases, c)
	}
	all := make([][figures]float64, len(cases))
	for i, r := range Balances(cases, workers) {
		if r.Err != nil {
			return nil, fmt.Errorf("at a radial clearance of %.4g µm: %w", cases[i].Clearance*1e6, r.Err)
		}
		all[i] = r.figures()
	}
	e := &Emulator{Least: least, Most: most}
	if err := e.fit(all[:nodes]); err != nil {
		return nil, err
	}
	var off [figures]float64
	for i, want := range all[nodes:] {
		at := e.At(cases[nodes+i].Clearance)
		for k, got := range at.list() {
			d := math.Abs(got - want[k])
			if k < logs {
				d /= math.Abs(want[k])
			}
			off[k] = math.Max(off[k], d)
		}
	}
	for k := range off {
		off[k] += balanceLeaves
	}
	off[figures-1] += balanceWithin
	e.Error = estimateOf(off)
	return e, nil
}

func (r *Balanced) figures() [figures]float64 {
	return (&Estimate{Gap: r.Gap, Peak: r.Peak, Loss: r.Loss, Flow: r.Side + r.Feed, Celsius: r.Celsius}).list()
}

// node is one of n of Chebyshev's points, -1 to 1.
func node(i, n int) float64 { return -math.Cos(math.Pi * (float64(i) + 0.5) / float64(n)) }

func place(least, most, x float64) float64 { return least + (most-least)*(x+1)/2 }

// fit finds the coefficients from the figures at the nodes.
func (e *Emulator) fit(at [][figures]float64) error {
	n := len(at)
	for k := range e.coef {
		e.coef[k] = make([]float64, n)
		for j := range n {
			s := 0.0
			for i := range n {
				y := at[i][k]
				if k < logs {
					if !(y > 0) {
						return errors.New("film: a bearing without film, loss or flow cannot be emulated")
					}
					y = math.Log(y)
				}
				s += y * math.Cos(float64(j)*math.Acos(node(i, n)))
			}
			e.coef[k][j] = 2 * s / float64(n)
		}
		e.coef[k][0] /= 2
	}
	return nil
}

// Covers reports whether a clearance is in the range.
func (e *Emulator) Covers(clearance float64) bool {
	return clearance >= e.Least && clearance <= e.Most
}

// At estimates a bearing of that radial clearance. Outside the range, and
// Covers tells, it goes on straight from the nearest end.
//
// Shapes: scalar -> one estimate.
// Units:  m -> SI, °C.
// Errors: none; what is no number gives none.
func (e *Emulator) At(clearance float64) Estimate {
	var out [figures]float64
	for k := range out {
		y, _ := e.value(k, clearance)
		if k < logs {
			y = math.Exp(y)
		}
		out[k] = y
	}
	return estimateOf(out)
}

// Slope is the derivative of At, per metre of radial clearance.
//
// Shapes: scalar -> one estimate.
// Units:  m -> SI, °C, over m.
// Errors: none.
func (e *Emulator) Slope(clearance float64) Estimate {
	var out [figures]float64
	for k := range out {
		y, d := e.value(k, clearance)
		if k < logs {
			d *= math.Exp(y)
		}
		out[k] = d
	}
	return estimateOf(out)
}

// Gaps estimates the least film of many clearances.
//
// Shapes: n clearances -> n films, in gaps where that is long enough.
// Units:  m.
// Errors: none.
func (e *Emulator) Gaps(gaps, clearances []float64) []float64 {
	gaps = grown(gaps, len(clearances))
	for i, c := range clearances {
		y, _ := e.value(0, c)
		gaps[i] = math.Exp(y)
	}
	return gaps
}

// value is the polynomial of a figure and its derivative by the clearance, by
// Clenshaw's recurrence.
func (e *Emulator) value(k int, clearance float64) (y, d float64) {
	half := (e.Most - e.Least) / 2
	c := max(e.Least, min(clearance, e.Most))
	x := (c-e.Least)/half - 1
	coef := e.coef[k]
	var b1, b2, d1, d2 float64
	for j := len(coef) - 1; j > 0; j-- {
		d1, d2 = 2*b1+2*x*d1-d2, d1
		b1, b2 = coef[j]+2*x*b1-b2, b1
	}
	y = coef[0] + x*b1 - b2
	d = (b1 + x*d1 - d2) / half
	return y + d*(clearance-c), d
}
