package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// leastSquares solves min |J p − e| by orthogonal factors of the scaled
// columns; it reports false where the columns are dependent.
func leastSquares(jac [][]float64, e []float64) ([]float64, bool) {
	n, k := len(jac), len(jac[0])
	scale := columnNorms(jac)
	m := mat.NewDense(n, k, nil)
	for i, row := range jac {
		for c, v := range row {
			if scale[c] == 0 {
				return nil, false
			}
			m.Set(i, c, v/scale[c])
		}
	}
	var qr mat.QR
	qr.Factorize(m)
	if qr.Cond() > 1e12 {
		return nil, false
	}
	var p mat.VecDense
	if err := qr.SolveVecTo(&p, false, mat.NewVecDense(n, append([]float64(nil), e...))); err != nil {
		return nil, false
	}
	out := make([]float64, k)
	for c := range out {
		out[c] = p.AtVec(c) / scale[c]
	}
	return out, true
}

func columnNorms(jac [][]float64) []float64 {
	out := make([]float64, len(jac[0]))
	for _, row := range jac {
		for c, v := range row {
			out[c] = math.Hypot(out[c], v)
		}
	}
	return out
}

// peakToValley is the zone of least-squares residuals e = δ − J p(δ).
//
//	∂w/∂δⱼ = [j = top] − [j = bottom] − (J_top − J_bottom) S⁻¹ Jⱼᵀ
//
// where S = JᵀJ + Σ eᵢ ∂²(model)ᵢ is the curvature of the sum of squares;
// curve adds the second term, nil where the model is linear.
func peakToValley(jac [][]float64, e []float64, curve func(s [][]float64), floor float64) Zone {
	n, k := len(jac), len(jac[0])
	z := Zone{Partials: make([]float64, n)}
	z.High, z.Low, z.Width = contacts(e, floor)
	z.Tied = len(z.High) > 1 || len(z.Low) > 1
	top, bottom := z.High[0], z.Low[0]
	diff := make([]float64, k)
	for c := range k {
		diff[c] = jac[top][c] - jac[bottom][c]
	}
	w, ok := curvatureSolve(jac, diff, curve)
	if !ok {
		return z
	}
	for j := range n {
		z.Partials[j] = -dot(w, jac[j])
	}
	z.Partials[top]++
	z.Partials[bottom]--
	return z
}

// curvatureSolve returns S⁻¹ b.
func curvatureSolve(jac [][]float64, b []float64, curve func(s [][]float64)) ([]float64, bool) {
	k, scale := len(b), columnNorms(jac)
	s := newSquare(k)
	for _, row := range jac {
		for r := range k {
			for c := range k {
				s.at[r][c] += row[r] * row[c]
			}
		}
	}
	if curve != nil {
		curve(s.at)
	}
	out := make([]float64, k)
	for r := range k {
		for c := range k {
			s.at[r][c] /= scale[r] * scale[c]
		}
		out[r] = b[r] / scale[r]
	}
	if !s.factor() {
		return nil, false
	}
	s.solve(out)
	for c := range out {
		out[c] /= scale[c]
	}
	return out, true
}
