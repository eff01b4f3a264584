package film

// The equations of the points, in columns of m: symmetric, with a band of m.
// Points without pressure are rows of their own with nothing on the right.

// eliminate writes the rows from a column on and eliminates them. Columns
// before it are as the last call left them.
func (v *Solver) eliminate(from int) {
	n, m := v.n, v.m
	if from > 1 { // the coupling of the column before it changes too
		from--
	}
	for i := from; i < n; i++ {
		v.write(i)
	}
	if from > 1 { // what the finished column before took off
		for j := 0; j < m; j++ {
			v.reduce((from-1)*m+j, m-j)
		}
	}
	for i := from; i < n; i++ {
		for j := 0; j < m; j++ {
			if v.wet[i*m+j] {
				v.reduce(i*m+j, 1)
			}
		}
	}
}

// write sets the rows of a column.
func (v *Solver) write(i int) {
	m := v.m
	w := m + 1
	t := v.reach * v.h3[i] * v.cell[i]
	for j := 0; j < m; j++ {
		k := i*m + j
		row := v.band[k*w:][:w]
		clear(row)
		if !v.wet[k] {
			row[0], v.rhs[k] = 1, 0
			continue
		}
		d := (v.g[i-1]+v.g[i])*v.row[j] + t*v.leg[j]
		if j > 0 {
			d += t * v.leg[j-1]
		}
		row[0] = d
		if j+1 < m && v.wet[k+1] {
			row[1] = -t * v.leg[j]
		}
		if v.wet[k+m] {
			row[m] -= v.g[i] * v.row[j]
		}
		v.rhs[k] = v.push[i] * v.row[j]
	}
}

// reduce takes row k off the rows that are at least so far below it.
func (v *Solver) reduce(k, least int) {
	w := v.m + 1
	row := v.band[k*w:][:w]
	inv, right := 1/row[0], v.rhs[k]
	for r := least; r < w; r++ {
		if row[r] == 0 {
			continue
		}
		l := row[r] * inv
		src := row[r:]
		dst := v.band[(k+r)*w:][:len(src)]
		for s, x := range src {
			dst[s] -= l * x
		}
		v.rhs[k+r] -= l * right
	}
}

// back finds the pressures from the eliminated rows.
func (v *Solver) back() {
	m := v.m
	w := m + 1
	for k := v.n*m - 1; k >= m; k-- {
		if !v.wet[k] {
			v.p[k] = 0
			continue
		}
		row := v.band[k*w:][:w]
		s := v.rhs[k]
		below := v.p[k+1:][:m]
		for r, x := range row[1:] {
			s -= x * below[r]
		}
		v.p[k] = s / row[0]
	}
}
