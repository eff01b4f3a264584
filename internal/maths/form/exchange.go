package form

import (
	"errors"
	"math"
)

// errRank says that the points do not span the reference element.
var errRank = errors.New("points do not span the feature")

// errPivots says that the exchange did not end; no input is known to cause it.
var errPivots = errors.New("the exchange of contact points did not end")

// exchanged is the answer of exchange.
type exchanged struct {
	p       []float64 // parameters of the reference element
	high    float64   // level of the upper side
	width   float64
	weights []float64 // ∂width/∂z
	tied    bool
}

// exchange finds the narrowest zone about a linear family of elements:
//
//	min over p of  max eᵢ − min eᵢ,   eᵢ = zᵢ − aᵢ·p
//
// by the simplex method on the dual problem
//
//	max Σ zᵢ(uᵢ − vᵢ)   Σuᵢ = 1, Σvᵢ = 1, Σ aᵢ(uᵢ − vᵢ) = 0, u, v ≥ 0
//
// whose bases are the sets of k+2 contact points, k = len(p). Each pivot lets
// in the point that stands out furthest and puts out one contact, so the zone
// that the contacts define only grows until it holds every point. At the end
// u − v is the derivative of the width with respect to z, which is why the
// dual is solved. The first basis needs no search: one point as both sides
// (width nought) with k more that span the element.
//
// within bounds every |p|; +Inf leaves them free. A bound that is active takes
// the place of a contact.
//
// Shapes: a n×k, z n -> p k, weights n.
// Units:  z any; p in z per a.
// Errors: errRank, errPivots.
// Source: method of exchange after Stiefel, in the words of linear programming;
// written from memory of the theory.
func exchange(a [][]float64, z []float64, within float64) (exchanged, error) {
	t, err := newTableau(a, z, within)
	if err != nil {
		return exchanged{}, err
	}
	limit, stalled, best := 200*(len(z)+len(t.basis)), 0, math.Inf(-1)
	for range limit {
		if !t.solve() {
			return exchanged{}, errPivots
		}
		if w := t.objective(); w > best+1e-14 {
			best, stalled = w, 0
		} else {
			stalled++
		}
		enter := t.entering(stalled > 25)
		if enter < 0 {
			return t.answer(), nil
		}
		leave, _ := t.leaving(enter, stalled > 25)
		if leave < 0 {
			return exchanged{}, errPivots
		}
		t.basis[leave] = enter
	}
	return exchanged{}, errPivots
}

// tableau is the dual problem in scaled numbers. Column j < n is uⱼ, column
// n+j is vⱼ; then come, where p is bounded, p_c ≥ −bound and p_c ≤ bound.
type tableau struct {
	a            [][]float64
	z            []float64
	mid, span    []float64 // scaling of a
	zMid, zSpan  float64   // scaling of z
	bound        []float64 // of the scaled p, empty where free
	basis        []int
	x            []float64 // basic values
	y            []float64 // p, upper level, minus lower level
	inside       []bool
	lu           square
	column, work []float64
}

func newTableau(a [][]float64, z []float64, within float64) (*tableau, error) {
	n, k := len(z), len(a[0])
	if n < k+2 {
		return nil, errRank
	}
	t := &tableau{z: make([]float64, n), mid: make([]float64, k), span: make([]float64, k),
		a: rows(n, k), basis: make([]int, 0, k+2), inside: make([]bool, 2*n),
		x: make([]float64, k+2), y: make([]float64, k+2),
		lu: newSquare(k + 2), column: make([]float64, k+2), work: make([]float64, k+2)}
	col := make([]float64, n)
	for c := range k {
		for i := range n {
			col[i] = a[i][c]
		}
		t.mid[c], t.span[c] = midSpan(col)
		if t.span[c] == 0 {
			return nil, errRank
		}
		for i := range n {
			t.a[i][c] = (col[i] - t.mid[c]) / t.span[c]
		}
	}
	t.zMid, t.zSpan = midSpan(z)
	if t.zSpan == 0 {
		t.zSpan = 1
	}
	for i := range n {
		t.z[i] = (z[i] - t.zMid) / t.zSpan
	}
	if !math.IsInf(within, 1) {
		for c := range k {
			t.bound = append(t.bound, within*t.span[c]/t.zSpan)
		}
		t.inside = make([]bool, 2*n+2*k)
	}
	return t, t.start()
}

// start picks k+1 points that span the element, the furthest from the hull of
// those chosen each time.
func (t *tableau) start() error {
	n, k := len(t.z), len(t.mid)
	t.basis = append(t.basis, n, 0) // v₀ and u₀
	rest := rows(n, k)
	for i := range n {
		for c := range k {
			rest[i][c] = t.a[i][c] - t.a[0][c]
		}
	}
	for range k {
		far, dist := -1, 1e-20
		for i := range n {
			if d := dot(rest[i], rest[i]); d > dist {
				far, dist = i, d
			}
		}
		if far < 0 {
			return errRank
		}
		t.basis = append(t.basis, far)
		axis := append([]float64(nil), rest[far]...)
		for i := range n {
			s := dot(rest[i], axis) / dist
			for c := range k {
				rest[i][c] -= s * axis[c]
			}
		}
	}
	return nil
}

// fill writes column j of the constraints to dst.
func (t *tableau) fill(j int, dst []float64) {
	n, k := len(t.z), len(t.mid)
	if j >= 2*n {
		clear(dst)
		if j -= 2 * n; j < k {
			dst[j] = 1
		} else {
			dst[j-k] = -1
		}
		return
	}
	if j < n {
		copy(dst, t.a[j])
		dst[k], dst[k+1] = 1, 0
		return
	}
	for c := range k {
		dst[c] = -t.a[j-n][c]
	}
	dst[k], dst[k+1] = 0, 1
}

func (t *tableau) cost(j int) float64 {
	n := len(t.z)
	switch {
	case j < n:
		return t.z[j]
	case j < 2*n:
		return -t.z[j-n]
	}
	return -t.bound[(j-2*n)%len(t.mid)]
}

// solve works out the basic values and the zone that the basis defines.
func (t *tableau) solve() bool {
	m := len(t.basis)
	clear(t.inside)
	for c, j := range t.basis {
		t.inside[j] = true
		t.fill(j, t.column)
		for r := range m {
			t.lu.at[r][c] = t.column[r]
		}
		t.work[c] = t.cost(j)
	}
	if !t.lu.factor() {
		return false
	}
	clear(t.x)
	t.x[m-2], t.x[m-1] = 1, 1
	t.lu.solve(t.x)
	for c := range t.x {
		t.x[c] = math.Max(t.x[c], 0)
	}
	copy(t.y, t.work)
	t.lu.solveTransposed(t.y)
	return true
}

func (t *tableau) objective() float64 {
	var w float64
	for c, j := range t.basis {
		w += t.cost(j) * t.x[c]
	}
	return w
}

// reduced returns by how much column j stands outside the present zone.
func (t *tableau) reduced(j int) float64 {
	n, k := len(t.z), len(t.mid)
	if j >= 2*n+k {
		return t.y[j-2*n-k] - t.bound[j-2*n-k]
	}
	if j >= 2*n {
		return -t.y[j-2*n] - t.bound[j-2*n]
	}
	if j < n {
		return t.z[j] - dot(t.a[j], t.y[:k]) - t.y[k]
	}
	return dot(t.a[j-n], t.y[:k]) - t.z[j-n] - t.y[k+1]
}

// entering returns the column that stands out furthest, or with first the
// first that stands out (Bland's rule, which cannot cycle); -1 at the optimum.
func (t *tableau) entering(first bool) int {
	enter, worst := -1, 1e-13
	for j := range t.inside {
		if t.inside[j] {
			continue
		}
		if d := t.reduced(j); d > worst {
			enter, worst = j, d
			if first {
				break
			}
		}
	}
	return enter
}

// leaving returns the basis place that column j would take, and the step.
func (t *tableau) leaving(j int, first bool) (place int, step float64) {
	t.fill(j, t.column)
	t.lu.solve(t.column)
	place, step = -1, math.Inf(1)
	for c, w := range t.column {
		if w <= 1e-11 {
			continue
		}
		q := t.x[c] / w
		switch {
		case q < step-1e-15:
		case q > step+1e-15:
			continue
		case first && t.basis[c] > t.basis[place]:
			continue
		case !first && w <= t.column[place]:
			continue
		}
		place, step = c, q
	}
	return place, step
}

func (t *tableau) answer() exchanged {
	n, k := len(t.z), len(t.mid)
	out := exchanged{p: make([]float64, k), weights: make([]float64, n)}
	out.high = t.zMid + t.zSpan*t.y[k]
	for c := range k {
		out.p[c] = t.zSpan * t.y[c] / t.span[c]
		out.high -= out.p[c] * t.mid[c]
	}
	for c, j := range t.basis {
		if j < n {
			out.weights[j] += t.x[c]
		} else if j < 2*n {
			out.weights[j-n] -= t.x[c]
		}
	}
	out.width = math.Max(0, t.zSpan*t.objective())
	for j := range t.inside {
		if t.inside[j] || t.reduced(j) < -touch*math.Max(t.objective(), 1e-6) {
			continue
		}
		if _, step := t.leaving(j, false); step > 1e-9 {
			out.tied = true
			break
		}
	}
	return out
}
