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
// its causes.
type walk struct {
	g      *Graph
	id     ID
	order  []ID // the nodes, arguments first
	causes []ID // leaves with a doubt
	place  map[ID]int
	value  map[ID]float64
	slope  map[ID][]float64 // ∂node/∂cause times u of the cause
	scale  float64          // size of the node and of what it leans on
}

func (g *Graph) walk(id ID) *walk {
	w := &walk{g: g, id: id, place: map[ID]int{}, value: map[ID]float64{}, slope: map[ID][]float64{}}
	w.add(id)
	w.scale = math.Abs(g.nodes[id].value)
	return w
}

func (w *walk) add(id ID) {
	if _, ok := w.value[id]; ok {
		return
	}
	n := &w.g.nodes[id]
	w.value[id] = n.value
	for _, list := range n.args {
		for _, a := range list {
			w.add(a)
		}
	}
	w.order = append(w.order, id)
	if n.leaf >= 0 && w.g.leaves[n.leaf].U > 0 {
		w.place[id] = len(w.causes)
		w.causes = append(w.causes, id)
	}
}

// gradient of the node by its causes, each times its standard uncertainty, with
// cause j moved by so many of its own; ok is false where a relation has no value.
func (w *walk) gradient(j int, by float64) (slope []float64, ok bool) {
	for _, id := range w.order {
		n := &w.g.nodes[id]
		d := make([]float64, len(w.causes))
		w.slope[id] = d
		if n.leaf >= 0 {
			l := &w.g.leaves[n.leaf]
			w.value[id] = l.Value
			if k, doubtful := w.place[id]; doubtful {
				d[k] = l.U
				if k == j {
					w.value[id] += by * l.U
				}
			}
			continue
		}
		x, p := make([][]float64, len(n.args)), make([][]float64, len(n.args))
		for i, list := range n.args {
			x[i], p[i] = make([]float64, len(list)), make([]float64, len(list))
			for k, a := range list {
				x[i][k] = w.value[a]
			}
		}
		y, err := n.rel.Value(x)
		if err != nil || y-y != 0 {
			return nil, false
		}
		w.value[id] = y
		n.rel.Partials(x, p)
		for i, list := range n.args {
			for k, a := range list {
				if p[i][k] == 0 {
					continue
				}
				for c, v := range w.slope[a] {
					d[c] += p[i][k] * v
				}
			}
		}
	}
	return w.slope[w.id], true
}
