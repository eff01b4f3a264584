package mains

// balance takes rounding out of the reduced shaft where statics knows the answer:
// moving or tilting it as a whole costs nothing, and a force has the same sum
// and moment at the mains as where it acts.
func (s *Shaft) balance() {
	n, m := len(s.mains), len(s.loads)
	one, lever := s.modes()
	// K ← P K P with P = 1 − Σ q qᵀ over both modes
	for _, q := range [][]float64{one, lever} {
		row := make([]float64, n)
		for i := range n {
			for j := range n {
				row[j] += q[i] * s.k[i*n+j]
			}
		}
		for i := range n {
			for j := range n {
				s.k[i*n+j] -= q[i] * row[j]
			}
		}
		col := make([]float64, n)
		for i := range n {
			for j := range n {
				col[i] += s.k[i*n+j] * q[j]
			}
		}
		for i := range n {
			for j := range n {
				s.k[i*n+j] -= col[i] * q[j]
			}
		}
	}
	for i := range n {
		for j := range i {
			v := (s.k[i*n+j] + s.k[j*n+i]) / 2
			s.k[i*n+j], s.k[j*n+i] = v, v
		}
	}
	// Each column of T gets the sums that its force has.
	for j := range m {
		a, b := s.share(s.loads[j])
		for _, mode := range []struct {
			q    []float64
			want float64
		}{{one, a}, {lever, b}} {
			has := 0.0
			for i := range n {
				has += mode.q[i] * s.t[i*m+j]
			}
			for i := range n {
				s.t[i*m+j] += mode.q[i] * (mode.want - has)
			}
		}
	}
}

// modes are the two ways to move as a whole, orthonormal over the mains.
func (s *Shaft) modes() (one, lever []float64) {
	n := float64(len(s.mains))
	mid, spread := s.middle()
	for _, z := range s.mains {
		one = append(one, 1/sqrt(n))
		lever = append(lever, (z-mid)/spread)
	}
	return one, lever
}

// middle is the mean place of the mains and the root of their squared distances.
func (s *Shaft) middle() (mid, spread float64) {
	for _, z := range s.mains {
		mid += z / float64(len(s.mains))
	}
	for _, z := range s.mains {
		spread += (z - mid) * (z - mid)
	}
	return mid, sqrt(spread)
}

// share is a force at z in both modes.
func (s *Shaft) share(z float64) (one, lever float64) {
	mid, spread := s.middle()
	return 1 / sqrt(float64(len(s.mains))), (z - mid) / spread
}
