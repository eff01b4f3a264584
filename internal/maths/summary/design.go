package summary

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// design is a model matrix and the orthogonal factors of its scaled columns.
type design struct {
	columns [][]float64
	scale   []float64 // powers of two, which scale without rounding
	qr      blas64.General
	tau     []float64
}

var errDependent = errors.New("summary: a column of the model follows from the others (or is nought): leave it out, or read at more places")

// newDesign factors the columns.
func newDesign(columns [][]float64) (*design, error) {
	n, k := len(columns[0]), len(columns)
	d := &design{columns: columns, scale: make([]float64, k), tau: make([]float64, k),
		qr: blas64.General{Rows: n, Cols: k, Stride: k, Data: make([]float64, n*k)}}
	for j, c := range columns {
		norm := 0.0
		for _, v := range c {
			norm = math.Hypot(norm, v)
		}
		if norm == 0 {
			return nil, errDependent
		}
		d.scale[j] = math.Exp2(-math.Round(math.Log2(norm)))
		for i, v := range c {
			d.qr.Data[i*k+j] = v * d.scale[j]
		}
	}
	work := make([]float64, 1)
	lapack64.Geqrf(d.qr, d.tau, work, -1)
	work = make([]float64, int(work[0]))
	lapack64.Geqrf(d.qr, d.tau, work, len(work))
	r := d.triangle()
	if lapack64.Trcon(lapack.MaxColumnSum, r, make([]float64, 3*k), make([]int, k)) < 1e-14 {
		return nil, errDependent
	}
	return d, nil
}

func (d *design) triangle() blas64.Triangular {
	k := len(d.scale)
	return blas64.Triangular{N: k, Stride: k, Data: d.qr.Data[:k*k], Uplo: blas.Upper, Diag: blas.NonUnit}
}

// rotate applies Q or Qᵀ in place.
func (d *design) rotate(t blas.Transpose, v []float64) {
	c := blas64.General{Rows: len(v), Cols: 1, Stride: 1, Data: v}
	a := d.qr
	work := make([]float64, 1)
	lapack64.Ormqr(blas.Left, t, a, d.tau, c, work, -1)
	work = make([]float64, int(work[0]))
	lapack64.Ormqr(blas.Left, t, a, d.tau, c, work, len(work))
}

// solve answers the pair r + Xp = f, Xᵀr = g, of which least squares is the
// case g = 0 and a column of (XᵀX)⁻¹ the case f = 0, g = −unit.
//
//	Rᵀu = g,  (c, d) = Qᵀf,  r = Q(u, d),  p = R⁻¹(c − u)
func (d *design) solve(f, g []float64) (p, r []float64) {
	k := len(d.scale)
	u := make([]float64, k)
	for j := range u {
		u[j] = g[j] * d.scale[j]
	}
	tri := d.triangle()
	blas64.Trsv(blas.Trans, tri, blas64.Vector{N: k, Inc: 1, Data: u})
	r = append([]float64(nil), f...)
	d.rotate(blas.Trans, r)
	p = make([]float64, k)
	for j := range p {
		p[j] = r[j] - u[j]
		r[j] = u[j]
	}
	d.rotate(blas.NoTrans, r)
	blas64.Trsv(blas.NoTrans, tri, blas64.Vector{N: k, Inc: 1, Data: p})
	for j := range p {
		p[j] *= d.scale[j]
	}
	return p, r
}

// refined solves the pair and corrects the answer by what it leaves over,
// reckoned to twice the digits, until the corrections stop shrinking.
func (d *design) refined(f, g []float64) (p, r []float64) {
	p, r = d.solve(f, g)
	last := math.Inf(1)
	for range 20 {
		df, dg := d.leftover(f, g, p, r)
		dp, dr := d.solve(df, dg)
		size := 0.0
		for j := range dp {
			size = math.Hypot(size, dp[j]/d.scale[j])
		}
		for i := range dr {
			size = math.Hypot(size, dr[i])
		}
		if size == 0 || size >= last/2 {
			break
		}
		for j := range p {
			p[j] += dp[j]
		}
		for i := range r {
			r[i] += dr[i]
		}
		last = size
	}
	return p, r
}

// leftover returns f − r − Xp and g − Xᵀr.
func (d *design) leftover(f, g, p, r []float64) (df, dg []float64) {
	df, dg = make([]float64, len(f)), make([]float64, len(g))
	for i := range f {
		var t twofold
		t.add(f[i])
		t.add(-r[i])
		for j := range p {
			t.addProduct(-d.columns[j][i], p[j])
		}
		df[i] = t.high + t.low
	}
	for j := range g {
		var t twofold
		t.add(g[j])
		for i := range r {
			t.addProduct(-d.columns[j][i], r[i])
		}
		dg[j] = t.high + t.low
	}
	return df, dg
}

// twofold is a sum with its rounding errors, about 32 digits together.
type twofold struct{ high, low float64 }

func (t *twofold) add(x float64) {
	s := t.high + x
	b := s - t.high
	t.low += (t.high - (s - b)) + (x - b)
	t.high = s
}

func (t *twofold) addProduct(a, b float64) {
	p := a * b
	t.add(p)
	t.low += math.FMA(a, b, -p)
}
