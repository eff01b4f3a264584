package gum

import (
	"fmt"
	"math"
)

// Correlated makes nodes of n values that were given with their covariance
// matrix: shared leaves z of mean 0 and deviation 1, and
//
//	x_i = m_i + Σ_{k≤i} L_ik z_k,   L Lᵀ = V
//
// so that the graph correlates what is worked out from them without being told.
// dof is that of the estimate behind the matrix, 0 where it is known; in Monte
// Carlo the values are then one multivariate t, as one estimate gives.
//
// Shapes: n names, n means, n×n covariances -> n nodes.
// Units:  those of the values; their products.
// Errors: sizes that differ; a value that is not finite; a matrix that is not
// symmetric, or that no set of values can have (a correlation beyond ±1).
// Source: JCGM 100:2008, 5.2 and example H.2; the factor after A.-L. Cholesky,
// as in JCGM 101:2008, 6.4.8; JCGM 102:2011, 5.3.2 for the t (from memory).
func (g *Graph) Correlated(names []string, kind Kind, mean []float64, cov [][]float64, dof float64) ([]ID, error) {
	n := len(names)
	if n == 0 || len(mean) != n || len(cov) != n {
		return nil, fmt.Errorf("%d names, %d values and %d rows of covariances; the three must agree", n, len(mean), len(cov))
	}
	for i := range cov {
		if len(cov[i]) != n {
			return nil, fmt.Errorf("row %d of the covariances has %d columns, expected %d", i+1, len(cov[i]), n)
		}
		for j := range cov[i] {
			if v := cov[i][j]; v-v != 0 || mean[i]-mean[i] != 0 {
				return nil, fmt.Errorf("%s with %s: not a finite number", names[i], names[j])
			}
			if math.Abs(cov[i][j]-cov[j][i]) > 1e-9*math.Sqrt(math.Abs(cov[i][i]*cov[j][j])) {
				return nil, fmt.Errorf("the covariance of %s with %s is %v, of %s with %s %v; they must be equal", names[i], names[j], cov[i][j], names[j], names[i], cov[j][i])
			}
		}
	}
	l, err := cholesky(names, cov)
	if err != nil {
		return nil, err
	}
	if math.IsInf(dof, 1) {
		dof = 0
	}
	pool := fmt.Sprintf("joint:%s#%d", names[0], len(g.leaves))
	z := make([]ID, n)
	for k := range z {
		leaf := Leaf{Key: "joint:" + names[k], Kind: kind, Ref: names[k], U: 1, Dof: dof}
		if dof > 0 {
			leaf.Pool = pool
		}
		z[k] = g.Own(leaf)
	}
	out := make([]ID, n)
	for i := range out {
		if out[i], err = g.Apply(weighted(names[i], mean[i], l[i][:i+1]), [][]ID{z[:i+1]}); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// weighted is m + Σ c_k z_k.
func weighted(name string, m float64, c []float64) *Relation {
	return &Relation{Name: "given-with-others", Equation: "x = m + Σ c_k z_k", Source: "gum-2008", Linear: true,
		In: []Symbol{{Letter: "z", Name: "z", Many: true}}, Out: Symbol{Letter: "x", Name: name},
		Value: func(x [][]float64) (float64, error) {
			y := m
			for k := range c {
				y += c[k] * x[0][k]
			}
			return y, nil
		},
		Partials: func(x, g [][]float64) { copy(g[0], c) }}
}

// cholesky is the lower factor of a matrix that may be singular: a value that
// others fix gets a zero of its own.
func cholesky(names []string, v [][]float64) ([][]float64, error) {
	l := make([][]float64, len(v))
	for i := range v {
		l[i] = make([]float64, len(v))
		for j := 0; j <= i; j++ {
			s := v[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			small := 1e-12 * math.Sqrt(math.Abs(v[i][i]*v[j][j]))
			switch {
			case i == j && s < -small:
				return nil, fmt.Errorf("no values have these covariances: %s varies by less than nothing once the others are known; every correlation must lie between −1 and 1 and they must fit together", names[i])
			case i == j:
				l[i][i] = math.Sqrt(math.Max(s, 0))
			case l[j][j] > 0:
				l[i][j] = s / l[j][j]
			case math.Abs(s) > 1e3*small:
				return nil, fmt.Errorf("no values have these covariances: %s cannot vary with %s, which does not vary", names[i], names[j])
			}
		}
	}
	return l, nil
}

// Joint is the mean and the covariance of the mean of values that were read
// together: row i holds what the i-th reading gave for each of them.
//
//	s(x̄_a, x̄_b) = Σ_i (a_i − ā)(b_i − b̄) / [n(n − 1)]
//
// Shapes: n rows of m -> m means, m×m covariances.
// Units:  those of the values; their products.
// Errors: fewer than two rows; rows of different lengths.
// Source: JCGM 100:2008, 5.2.3, eq. (17).
func Joint(rows [][]float64) (mean []float64, cov [][]float64, err error) {
	if len(rows) < 2 {
		return nil, nil, fmt.Errorf("%d readings; two are needed to see how values move together", len(rows))
	}
	n, m := float64(len(rows)), len(rows[0])
	mean, cov = make([]float64, m), make([][]float64, m)
	for i, r := range rows {
		if len(r) != m {
			return nil, nil, fmt.Errorf("reading %d has %d values, expected %d", i+1, len(r), m)
		}
		for a, v := range r {
			mean[a] += v / n
		}
	}
	for a := range cov {
		cov[a] = make([]float64, m)
		for b := range cov[a] {
			for _, r := range rows {
				cov[a][b] += (r[a] - mean[a]) * (r[b] - mean[b])
			}
			cov[a][b] /= n * (n - 1)
		}
	}
	return mean, cov, nil
}
