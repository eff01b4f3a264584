package gum

import "math"

// Second is what the terms after the first order add to a node's variance.
type Second struct {
	First float64 // standard uncertainty of first order
	// Extra variance of the terms of second order; below zero where a curve
	// flattens what the slope promises.
	Extra float64
	U     float64 // √(First² + Extra), never below zero
	Shift float64 // of the expected value against the value at the estimates
	// Curved: the first order cannot be relied on here. Monte Carlo can.
	Curved bool
}

// Trust is the part of the first-order variance that the second order may add or
// take before a value is called curved: a tenth moves the standard uncertainty
// by one twentieth, which is half a unit of its second digit at the least.
const Trust = 0.1

// SecondOrder gives the extra variance of a node, from numerical differences of
// the exact first partials.
//
//	Σ_i Σ_j [½ (∂²f/∂q_i∂q_j)² + ∂f/∂q_i · ∂³f/∂q_i∂q_j²] u²(q_i) u²(q_j)
//
// The differences span one standard uncertainty to each side: exact for a
// polynomial of third degree, and wide enough to notice that another reading
// becomes the largest. Where a relation has no value there, the node is called
// curved.
//
// Shapes: node -> Second.
// Units:  First, U, Shift as the node; Extra squared.
// Errors: none; a node that leans on a relation without a value at one standard
// uncertainty is curved, with the first order as it is.
// Valid:  causes that are independent and nearly normal.
// Source: JCGM 100:2008, 5.1.2, note; the shift is the mean of the same series.
func (g *Graph) SecondOrder(id ID) Second {
	s := Second{First: g.U(id)}
	w := g.walk(id)
	n := len(w.causes)
	if n == 0 {
		return s
	}
	at, _ := w.gradient(-1, 0)
	for j := range w.causes {
		plus, ok := w.gradient(j, 1)
		minus, ok2 := w.gradient(j, -1)
		if !ok || !ok2 {
			return Second{First: s.First, U: s.First, Curved: true}
		}
		for i := range w.causes {
			h := (plus[i] - minus[i]) / 2
			t := plus[i] - 2*at[i] + minus[i]
			s.Extra += h*h/2 + at[i]*t
			if i == j {
				s.Shift += h / 2
			}
		}
	}
	first := s.First * s.First
	s.U = math.Sqrt(math.Max(0, first+s.Extra))
	s.Curved = math.Abs(s.Extra) > Trust*first && math.Abs(s.Extra) > 1e-24*w.scale*w.scale
	return s
}

// walk is the part of a graph behind one node, evaluated anew at other values of
// its causes. Its lists go by the order of the nodes, arguments first; they are
// made once and written over by each evaluation.
type walk struct {
	g      *Graph
	steps  []station
	at     map[ID]int
	causes []ID    // leaves with a doubt
	scale  float64 // size of the node and of what it leans on
}

// station is one node of a walk.
type station struct {
	n     *node
	args  [][]int // of each argument, its step
	x, p  [][]float64
	value float64
	slope []float64 // ∂node/∂cause times u of the cause; nil for a leaf
	place int       // of a leaf among the causes, -1 for one without a doubt
	u     float64   // of a leaf
}

func (g *Graph) walk(id ID) *walk {
	w := &walk{g: g, at: map[ID]int{}}
	w.add(id)
	for i := range w.steps {
		if s := &w.steps[i]; s.n.leaf < 0 {
			s.slope = make([]float64, len(w.causes))
		}
	}
	w.scale = math.Abs(g.nodes[id].value)
	return w
}

func (w *walk) add(id ID) int {
	if at, ok := w.at[id]; ok {
		return at
	}
	n := &w.g.nodes[id]
	s := station{n: n, place: -1}
	for _, list := range n.args {
		at := make([]int, len(list))
		for k, a := range list {
			at[k] = w.add(a)
		}
		s.args, s.x, s.p = append(s.args, at), append(s.x, make([]float64, len(list))), append(s.p, make([]float64, len(list)))
	}
	if n.leaf >= 0 && w.g.leaves[n.leaf].U > 0 {
		s.place, s.u = len(w.causes), w.g.leaves[n.leaf].U
		w.causes = append(w.causes, id)
	}
	w.at[id] = len(w.steps)
	w.steps = append(w.steps, s)
	return len(w.steps) - 1
}

// gradient of the node by its causes, each times its standard uncertainty, with
// cause j moved by so many of its own; ok is false where a relation has no value.
func (w *walk) gradient(j int, by float64) (slope []float64, ok bool) {
	for at := range w.steps {
		s := &w.steps[at]
		if s.n.leaf >= 0 {
			s.value = w.g.leaves[s.n.leaf].Value
			if s.place == j && s.place >= 0 {
				s.value += by * s.u
			}
			continue
		}
		for i, list := range s.args {
			clear(s.p[i])
			for k, a := range list {
				s.x[i][k] = w.steps[a].value
			}
		}
		y, err := s.n.rel.Value(s.x)
		if err != nil || y-y != 0 {
			return nil, false
		}
		s.value = y
		s.n.rel.Partials(s.x, s.p)
		clear(s.slope)
		for i, list := range s.args {
			for k, a := range list {
				w.chain(s.slope, s.p[i][k], &w.steps[a])
			}
		}
	}
	out := make([]float64, len(w.causes))
	w.chain(out, 1, &w.steps[len(w.steps)-1])
	return out, true
}

// chain adds p times the slopes of an argument.
func (w *walk) chain(into []float64, p float64, a *station) {
	switch {
	case p == 0:
	case a.slope == nil && a.place >= 0:
		into[a.place] += p * a.u
	case a.slope != nil:
		for c, v := range a.slope {
			into[c] += p * v
		}
	}
}
