// Package mains is a crankshaft on more main bearings than statics can share a
// load among: a beam of stepped stiffness on films or springs, in a tunnel that
// is not straight, with journals that run out and clearances that differ.
//
// z runs along the crank from its free end, x and y across the block; vectors
// are pairs (x, y). Lengths m, forces N, stiffness N·m² and N/m, angles rad. A
// force on a throw is what the rod and the throw's own mass put on the shaft; a
// load on a main is what the shaft puts on the shell. Equations, limits and what
// is left out stand in doc/model/mains.md.
package mains

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// Vec is a vector across the block.
type Vec [2]float64

// Piece is a stretch of shaft of one stiffness.
type Piece struct {
	Length  float64
	Bending float64 // E I
	Shear   float64 // κ G A; 0 for a shaft that shear does not bend
}

// Layout is a shaft: pieces end to end from z = 0, the middles of its main
// journals, and the places where forces act.
type Layout struct {
	Pieces []Piece
	Mains  []float64
	Loads  []float64
}

// Bounds of what is taken.
const (
	mostMains = 16
	mostLoads = 32
	nearest   = 1e-3 // m between two mains, two loads, or the borders of pieces
)

// Shaft is a shaft reduced to what its mains feel of it.
//
//	K u = T F − R
//
// with u the deflection at the mains, F the forces, R the reactions; K has no
// stiffness against moving as a whole.
type Shaft struct {
	mains, loads []float64
	k            []float64 // n × n
	t            []float64 // n × loads: what a force would be at the mains
	turnU, turnF []float64 // slope at the mains by deflection and by force
}

// Mains and Loads say how many there are.
func (s *Shaft) Mains() int { return len(s.mains) }
func (s *Shaft) Loads() int { return len(s.loads) }

// NewShaft reduces a shaft to its mains: beam elements between all places that
// matter, everything but the deflection at the mains eliminated once.
//
// Shapes: one layout -> one shaft.
// Units:  m, N·m², N.
// Errors: fewer than 2 or more than 16 mains, none or more than 32 loads; places
// not from end to end, not in order, or less than 1 mm apart; a piece shorter
// than 1 mm; stiffness outside 10² to 10⁹ N·m², shear stiffness other than 0
// or 10⁵ to 10¹² N; more than 100 pieces, more than 10 m.
// Source: beam element with shear: J. S. Przemieniecki, Theory of Matrix
// Structural Analysis (1968), section 5.6, from memory.
func NewShaft(l Layout) (*Shaft, error) {
	z, err := l.stations()
	if err != nil {
		return nil, err
	}
	k := l.assemble(z)
	return l.reduce(z, k), nil
}

func (l Layout) check() (float64, error) {
	if n := len(l.Mains); n < 2 || n > mostMains {
		return 0, fmt.Errorf("mains: %d main bearings: 2 to %d are expected", n, mostMains)
	}
	if n := len(l.Loads); n < 1 || n > mostLoads {
		return 0, fmt.Errorf("mains: %d places of force: 1 to %d are expected", n, mostLoads)
	}
	if n := len(l.Pieces); n < 1 || n > 100 {
		return 0, fmt.Errorf("mains: %d pieces of shaft: 1 to 100 are expected", n)
	}
	length := 0.0
	for i, p := range l.Pieces {
		switch {
		case !(p.Length >= nearest && p.Length <= 10):
			return 0, fmt.Errorf("mains: piece %d is %g m long: 1 mm to 10 m is expected", i+1, p.Length)
		case !(p.Bending >= 1e2 && p.Bending <= 1e9):
			return 0, fmt.Errorf("mains: piece %d has bending stiffness %g N·m²: 10² to 10⁹ is expected", i+1, p.Bending)
		case p.Shear != 0 && !(p.Shear >= 1e5 && p.Shear <= 1e12):
			return 0, fmt.Errorf("mains: piece %d has shear stiffness %g N: 10⁵ to 10¹² is expected, or 0 for none", i+1, p.Shear)
		}
		length += p.Length
	}
	if length > 10 {
		return 0, fmt.Errorf("mains: the shaft is %g m long: 10 m at most is expected", length)
	}
	for _, list := range []struct {
		what string
		z    []float64
	}{{"main", l.Mains}, {"force", l.Loads}} {
		for i, z := range list.z {
			if !(z >= -1e-9 && z <= length+1e-9) {
				return 0, fmt.Errorf("mains: %s %d at %g m: a place on the shaft, 0 to %g m, is expected", list.what, i+1, z, length)
			}
			if i > 0 && !(z-list.z[i-1] >= nearest) {
				return 0, fmt.Errorf("mains: %s %d at %g m after %g m: at least 1 mm further on is expected", list.what, i+1, z, list.z[i-1])
			}
		}
	}
	return length, nil
}

// stations are the nodes: mains, then loads and borders of pieces that are not
// within 0.1 mm of one already there.
func (l Layout) stations() ([]float64, error) {
	length, err := l.check()
	if err != nil {
		return nil, err
	}
	all := append([]float64(nil), l.Mains...)
	add := func(z float64) {
		for _, o := range all {
			if math.Abs(o-z) < 0.1*nearest {
				return
			}
		}
		all = append(all, z)
	}
	for _, z := range l.Loads {
		add(z)
	}
	at := 0.0
	for _, p := range l.Pieces {
		add(at)
		at += p.Length
	}
	add(length)
	sort.Float64s(all)
	return all, nil
}

// flexible is the bending and shear flexibility over a stretch: the means of
// 1/EI and 1/κGA, exact where a stretch lies in one piece, as all but snapped
// ones do.
func (l Layout) flexible(from, to float64) (bending, shear float64) {
	at := 0.0
	for i, p := range l.Pieces {
		end := at + p.Length
		if i == len(l.Pieces)-1 {
			end = math.Inf(1)
		}
		start := at
		if i == 0 {
			start = math.Inf(-1)
		}
		if d := math.Min(to, end) - math.Max(from, start); d > 0 {
			bending += d / p.Bending
			if p.Shear > 0 {
				shear += d / p.Shear
			}
		}
		at = at + p.Length
	}
	return bending / (to - from), shear / (to - from)
}

// assemble puts the elements together; freedoms are deflection and slope, node by
// node.
//
//	       EI      | 12     6L      −12    6L     |
//	k = ---------  | 6L   (4+Φ)L²   −6L  (2−Φ)L²  |     Φ = 12 EI/(κGA L²)
//	    L³ (1+Φ)   | −12   −6L       12   −6L     |
//	               | 6L   (2−Φ)L²   −6L  (4+Φ)L²  |
func (l Layout) assemble(z []float64) *mat.SymDense {
	k := mat.NewSymDense(2*len(z), nil)
	for i := 1; i < len(z); i++ {
		d := z[i] - z[i-1]
		soft, shear := l.flexible(z[i-1], z[i])
		phi := 12 * shear / (soft * d * d)
		c := 1 / (soft * d * d * d * (1 + phi))
		e := [4][4]float64{{12, 6 * d, -12, 6 * d}, {6 * d, (4 + phi) * d * d, -6 * d, (2 - phi) * d * d},
			{-12, -6 * d, 12, -6 * d}, {6 * d, (2 - phi) * d * d, -6 * d, (4 + phi) * d * d}}
		for a := range 4 {
			for b := a; b < 4; b++ {
				p, q := 2*(i-1)+a, 2*(i-1)+b
				k.SetSym(p, q, k.At(p, q)+c*e[a][b])
			}
		}
	}
	return k
}

// node finds the station of a place.
func node(z []float64, at float64) int {
	best := 0
	for i := range z {
		if math.Abs(z[i]-at) < math.Abs(z[best]-at) {
			best = i
		}
	}
	return best
}

// reduce eliminates all freedoms but the deflections at the mains.
func (l Layout) reduce(z []float64, k *mat.SymDense) *Shaft {
	n, m := len(l.Mains), len(l.Loads)
	kept := map[int]int{}
	for i, at := range l.Mains {
		kept[2*node(z, at)] = i
	}
	var inner []int // the freedoms that go
	place := map[int]int{}
	for d := range 2 * len(z) {
		if _, ok := kept[d]; !ok {
			place[d] = len(inner)
			inner = append(inner, d)
		}
	}
	kii := mat.NewSymDense(len(inner), nil)
	for a, p := range inner {
		for b := a; b < len(inner); b++ {
			kii.SetSym(a, b, k.At(p, inner[b]))
		}
	}
	kim := mat.NewDense(len(inner), n, nil)
	for d, j := range kept {
		for a, p := range inner {
			kim.Set(a, j, k.At(p, d))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(kii) {
		panic("mains: a shaft held at two places is stiff") // checked ranges keep it so
	}
	var x, y mat.Dense // Kᵢᵢ⁻¹ Kᵢₘ, Kᵢᵢ⁻¹ of a unit force at each load
	if err := chol.SolveTo(&x, kim); err != nil && !isCondition(err) {
		panic("mains: " + err.Error())
	}
	unit := mat.NewDense(len(inner), m, nil)
	s := &Shaft{mains: append([]float64(nil), l.Mains...), loads: append([]float64(nil), l.Loads...),
		k: make([]float64, n*n), t: make([]float64, n*m), turnU: make([]float64, n*n), turnF: make([]float64, n*m)}
	for j, at := range l.Loads {
		d := 2 * node(z, at)
		if i, ok := kept[d]; ok {
			s.t[i*m+j] = 1
		} else {
			unit.Set(place[d], j, 1)
		}
	}
	if err := chol.SolveTo(&y, unit); err != nil && !isCondition(err) {
		panic("mains: " + err.Error())
	}
	for d, i := range kept {
		for e, j := range kept {
			v := k.At(d, e)
			for a := range inner {
				v -= kim.At(a, i) * x.At(a, j)
			}
			s.k[i*n+j] = v
		}
		for j := range m {
			for a := range inner {
				s.t[i*m+j] -= kim.At(a, i) * y.At(a, j)
			}
		}
		slope := place[d+1]
		for j := range n {
			s.turnU[i*n+j] = -x.At(slope, j)
		}
		for j := range m {
			s.turnF[i*m+j] = y.At(slope, j)
		}
	}
	s.balance()
	return s
}

func isCondition(err error) bool { _, ok := err.(mat.Condition); return ok }
