package mains

import (
	"fmt"
	"math"
)

// Bearing is one main as measured.
type Bearing struct {
	Law    Law
	Offset Vec // middle of the bore from the line of the tunnel, in the block
	Runout Vec // middle of the journal from the axis of the crank, in the crank at angle 0
}

// Run is what comes out, angle by angle and main by main.
type Run struct {
	Load    [][]Vec // on the shell, N
	Journal [][]Vec // middle of the journal from the middle of the bore, m
	Slope   [][]Vec // of the bent shaft at the main against the line of the tunnel, rad
	Steps   int     // of Newton's method, all angles together
}

// mostSteps of Newton's method at one angle; a handful is usual.
const mostSteps = 200

// Turn works out the loads over a turn.
//
//	K u + Σ p(e) = T F,   e = u + Q(θ) r − b,   p = f(|e|) e/|e|
//
// with r the run-out turned by the crank's angle and b the offset of the bore.
// The forces follow from a potential that is bent upward everywhere, so that
// there is one answer; Newton's method with a search along its direction goes
// down in it until forces balance to 10⁻⁹ of the largest.
//
// Shapes: n angles, n × loads forces, one bearing a main -> n × mains.
// Units:  rad, N.
// Errors: lists of other lengths; an angle or force that is no number, beyond
// 10⁸ N; an offset or run-out beyond 5 mm; a bearing without law; a balance
// that is not found, with its angle.
// Source: statics; see doc/model/mains.md.
func (s *Shaft) Turn(angles []float64, forces [][]Vec, bearings []Bearing) (*Run, error) {
	if err := s.asked(angles, forces, bearings); err != nil {
		return nil, err
	}
	n := len(s.mains)
	out := &Run{Load: grid(len(angles), n), Journal: grid(len(angles), n), Slope: grid(len(angles), n)}
	w := newWork(s, bearings)
	for i, a := range angles {
		steps, err := w.solve(a, forces[i])
		if err != nil {
			return nil, fmt.Errorf("mains: at %.3g rad: %w", a, err)
		}
		out.Steps += steps
		w.put(out, i, forces[i])
	}
	return out, nil
}

func grid(rows, cols int) [][]Vec {
	flat, out := make([]Vec, rows*cols), make([][]Vec, rows)
	for i := range out {
		out[i] = flat[i*cols : (i+1)*cols : (i+1)*cols]
	}
	return out
}

func finite(v Vec, most float64) bool { return math.Abs(v[0]) <= most && math.Abs(v[1]) <= most }

func (s *Shaft) asked(angles []float64, forces [][]Vec, bearings []Bearing) error {
	if len(angles) == 0 || len(angles) != len(forces) {
		return fmt.Errorf("mains: %d angles and %d rows of forces: as many of each are expected, and one at least", len(angles), len(forces))
	}
	for i, row := range forces {
		if math.IsNaN(angles[i]) || math.IsInf(angles[i], 0) {
			return fmt.Errorf("mains: angle %d is %g: a number is expected", i+1, angles[i])
		}
		if len(row) != len(s.loads) {
			return fmt.Errorf("mains: row %d has %d forces: %d are expected", i+1, len(row), len(s.loads))
		}
		for j, f := range row {
			if !finite(f, 1e8) {
				return fmt.Errorf("mains: force %d of row %d is %g, %g N: 10⁸ N at most is expected", j+1, i+1, f[0], f[1])
			}
		}
	}
	if len(bearings) != len(s.mains) {
		return fmt.Errorf("mains: %d bearings: %d are expected", len(bearings), len(s.mains))
	}
	for i, b := range bearings {
		if b.Law.linear == 0 && b.Law.of == nil {
			return fmt.Errorf("mains: bearing %d has no law", i+1)
		}
		if !finite(b.Offset, 5e-3) || !finite(b.Runout, 5e-3) {
			return fmt.Errorf("mains: bearing %d is off by %g, %g m and runs out by %g, %g m: 5 mm at most is expected", i+1, b.Offset[0], b.Offset[1], b.Runout[0], b.Runout[1])
		}
	}
	return nil
}

// put writes down one angle.
func (w *work) put(out *Run, i int, forces []Vec) {
	n, m := w.n, len(w.s.loads)
	for k := range n {
		out.Load[i][k] = Vec{w.push[2*k], w.push[2*k+1]}
		out.Journal[i][k] = Vec{w.e[2*k], w.e[2*k+1]}
		var t Vec
		for j := range n {
			t[0] += w.s.turnU[k*n+j] * w.u[2*j]
			t[1] += w.s.turnU[k*n+j] * w.u[2*j+1]
		}
		for j := range m {
			t[0] += w.s.turnF[k*m+j] * forces[j][0]
			t[1] += w.s.turnF[k*m+j] * forces[j][1]
		}
		out.Slope[i][k] = t
	}
}

// Determinate shares each force between its two neighbours by the lever, as if
// the shaft were hinged at every main: what is usually done, and what knows
// nothing of offsets, clearances or stiffness. A force beyond the last main
// hangs on the two nearest.
//
// Shapes: n × loads forces -> n × mains.
// Units:  N.
// Errors: as Turn.
// Source: statics.
func (s *Shaft) Determinate(forces [][]Vec) ([][]Vec, error) {
	n := len(s.mains)
	out := grid(len(forces), n)
	for i, row := range forces {
		if len(row) != len(s.loads) {
			return nil, fmt.Errorf("mains: row %d has %d forces: %d are expected", i+1, len(row), len(s.loads))
		}
		for j, f := range row {
			if !finite(f, 1e8) {
				return nil, fmt.Errorf("mains: force %d of row %d is %g, %g N: 10⁸ N at most is expected", j+1, i+1, f[0], f[1])
			}
			k := 0
			for k < n-2 && s.mains[k+1] <= s.loads[j] {
				k++
			}
			far := (s.loads[j] - s.mains[k]) / (s.mains[k+1] - s.mains[k])
			for d := range 2 {
				out[i][k][d] += (1 - far) * f[d]
				out[i][k+1][d] += far * f[d]
			}
		}
	}
	return out, nil
}

// Peak is the largest of one main's loads and the row where it stands.
//
// Shapes: n × mains, which main -> scalar, row.
// Units:  N.
// Errors: none; 0 and row 0 where there are none.
// Source: definition.
func Peak(loads [][]Vec, main int) (most float64, row int) {
	for i := range loads {
		if p := math.Hypot(loads[i][main][0], loads[i][main][1]); p > most {
			most, row = p, i
		}
	}
	return most, row
}
