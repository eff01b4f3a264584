package gum

import "math"

// desk is the columns of one worker.
type desk struct {
	*plan
	column [][]float64
	batch  [][][][]float64 // of a step with Batch: columns by argument
	x      [][][]float64   // of a step without: one draw's arguments
}

func (p *plan) desk() *desk {
	d := &desk{plan: p, column: make([][]float64, p.columns), batch: make([][][][]float64, len(p.steps)), x: make([][][]float64, len(p.steps))}
	all := make([]float64, p.columns*block)
	for i := range d.column {
		d.column[i], all = all[:block:block], all[block:]
	}
	for _, s := range p.fixed {
		for i := range d.column[s.to] {
			d.column[s.to][i] = s.base
		}
	}
	for i := range p.steps {
		s := &p.steps[i]
		for k, list := range s.args {
			d.x[i] = append(d.x[i], make([]float64, len(list)))
			d.batch[i] = append(d.batch[i], make([][]float64, len(list)))
			for j, c := range list {
				d.batch[i][k][j] = d.column[c]
			}
		}
	}
	return d
}

// draw fills all columns with draws of one block, n of which are wanted.
func (d *desk) draw(seed uint64, number, n int) {
	for i := range d.steps {
		s := &d.steps[i]
		y := d.column[s.to][:n]
		switch {
		case s.rel == nil && s.pool == s.to:
			r := streamAt(seed, s.cause, uint64(number))
			for k := range y {
				y[k] = r.tilt(s.base)
			}
		case s.rel == nil:
			var pool []float64
			if s.pool >= 0 {
				pool = d.column[s.pool]
			}
			r := streamAt(seed, s.cause, uint64(number))
			s.shape.fill(y, &r, pool)
		case s.slope != nil:
			s.sum(y, d.batch[i])
		case s.rel.Batch != nil:
			s.rel.Batch(d.batch[i], y)
		default:
			s.each(y, d.batch[i], d.x[i])
		}
	}
}

// sum evaluates a linear relation, two arguments at a time.
func (s *step) sum(y []float64, x [][][]float64) {
	for k := range y {
		y[k] = s.base
	}
	var held []float64
	var weight float64
	for i := range x {
		for j, a := range x[i] {
			c := s.slope[i][j]
			switch {
			case c == 0:
			case held == nil:
				held, weight = a, c
			default:
				a, b := a[:len(y)], held[:len(y)]
				for k := range y {
					y[k] += c*a[k] + weight*b[k]
				}
				held = nil
			}
		}
	}
	if held != nil {
		held = held[:len(y)]
		for k := range y {
			y[k] += weight * held[k]
		}
	}
}

// each evaluates any other relation draw by draw; a draw without a value is NaN.
func (s *step) each(y []float64, x [][][]float64, one [][]float64) {
	for k := range y {
		for i := range x {
			for j := range x[i] {
				one[i][j] = x[i][j][k]
			}
		}
		v, err := s.rel.Value(one)
		if err != nil {
			v = math.NaN()
		}
		y[k] = v
	}
}
