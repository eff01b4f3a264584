package cycle

import (
	"fmt"
	"math"
)

// Trace is a measured pressure over 720°, which may stand in for the model.
type Trace struct{ at, p []float64 }

// NewTrace takes readings at rising angles that cover a cycle: the gap from the
// last to the first of the next cycle, like every other, at most 6°.
//
// Shapes: as many angles as pressures, from 120 on.
// Units:  rad from firing top dead centre, Pa.
// Errors: too few readings, angles that do not rise or span more than 4π, a gap
// over 6°, a pressure beyond ±10⁸ Pa or not finite, each with its place.
func NewTrace(angles, pressures []float64) (*Trace, error) {
	n := len(angles)
	if n != len(pressures) || n < 120 || n > 1<<20 {
		return nil, fmt.Errorf("cycle: a trace of %d angles and %d pressures; as many of each are needed, from 120 to %d", n, len(pressures), 1<<20)
	}
	for i, a := range angles {
		if err := within(fmt.Sprintf("angle %d of the trace in rad", i+1), a, -8*math.Pi, 8*math.Pi); err != nil {
			return nil, err
		}
		if err := within(fmt.Sprintf("pressure %d of the trace in Pa", i+1), pressures[i], -1e8, 1e8); err != nil {
			return nil, err
		}
		gap := angles[0] + 4*math.Pi - angles[n-1]
		if i > 0 {
			gap = a - angles[i-1]
		}
		if !(gap > 1e-9 && gap <= 6*math.Pi/180+1e-9) {
			return nil, fmt.Errorf("cycle: reading %d of the trace is %.3g° after the one before it; over 0° and up to 6° are taken", i+1, gap*180/math.Pi)
		}
	}
	return &Trace{append([]float64(nil), angles...), append([]float64(nil), pressures...)}, nil
}

// Pressure fills out with the trace at equal angles over 720°, the first at
// firing top, by cubics with slopes from neighbours.
//
// Units:  Pa.
// Errors: none.
func (t *Trace) Pressure(out []float64) {
	n := len(t.at)
	const whole = 4 * math.Pi
	get := func(i int) (at, p float64) {
		lap := math.Floor(float64(i) / float64(n))
		k := ((i % n) + n) % n
		return t.at[k] + lap*whole, t.p[k]
	}
	slope := func(i int) float64 {
		a0, p0 := get(i - 1)
		a1, p1 := get(i + 1)
		return (p1 - p0) / (a1 - a0)
	}
	k := 0
	// The first output angle at or after the trace's first reading.
	first := int(math.Ceil(t.at[0] / whole * float64(len(out))))
	for j := range out {
		at := whole * float64(first+j) / float64(len(out))
		for {
			if a, _ := get(k + 1); a > at || k >= n-1 {
				break
			}
			k++
		}
		a0, p0 := get(k)
		a1, p1 := get(k + 1)
		h := a1 - a0
		out[((first+j)%len(out)+len(out))%len(out)] = hermite((at-a0)/h, p0, p1, slope(k)*h, slope(k+1)*h)
	}
}

// Pegged is the trace moved as a whole, since a piezo gauge knows no zero, so
// that its mean over a window is a pressure known there, such as that of the
// inlet about bottom dead centre (180° after the top of the gas exchange).
//
// Units:  rad, rad, Pa.
// Errors: a window without readings; a pressure not from 10 kPa to 1 MPa.
// Source: common practice, no source.
func (t *Trace) Pegged(from, to, pressure float64) (*Trace, error) {
	if err := within("the pressure to peg to in Pa", pressure, 1e4, 1e6); err != nil {
		return nil, err
	}
	sum, n := 0.0, 0
	width := to - from
	if !(width > 0 && width < 4*math.Pi) {
		return nil, fmt.Errorf("cycle: a window from %g to %g rad; it must rise and be shorter than 720°", from, to)
	}
	for i, a := range t.at {
		off := math.Mod(a-from, 4*math.Pi)
		if off < 0 {
			off += 4 * math.Pi
		}
		if off <= width {
			sum, n = sum+t.p[i], n+1
		}
	}
	if n == 0 {
		return nil, fmt.Errorf("cycle: no reading between %g and %g rad to peg by", from, to)
	}
	out := &Trace{append([]float64(nil), t.at...), append([]float64(nil), t.p...)}
	for i := range out.p {
		out.p[i] += pressure - sum/float64(n)
	}
	return out, nil
}
