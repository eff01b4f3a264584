package film

import (
	"fmt"
	"math"
	"sync"
)

// MakeMap works out the map of mobilities from the reference, ratio by ratio,
// some at once. What it gives does not depend on how many.
//
// Shapes: -> the map.
// Units:  none.
// Errors: as Solver.Under.
func MakeMap(workers int) (*Map, error) {
	m := &Map{nu: 41, ns: 49}
	for i := range 9 { // 0.08 to 1.28 by √2
		m.ratios = append(m.ratios, 0.08*math.Pow(2, float64(i)/2))
	}
	m.node = make([][]float32, len(m.ratios))
	errs := make([]error, len(m.ratios))
	gate := make(chan struct{}, max(1, workers))
	var all sync.WaitGroup
	for i := range m.ratios {
		all.Go(func() {
			gate <- struct{}{}
			m.node[i], errs[i] = m.make(m.ratios[i])
			<-gate
		})
	}
	all.Wait()
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("L/D %g: %w", m.ratios[i], err)
		}
	}
	return ReadMap(m.Bytes())
}

// mapMesh is the mesh of the map: 0.1 % of the finest, most 0.25 %.
func mapMesh() Mesh { return Mesh{Around: 160, Across: 12} }

// make works out the nodes of one ratio.
func (m *Map) make(ratio float64) ([]float32, error) {
	var v Solver
	out := make([]float32, 0, 4*m.nu*m.ns)
	for i := range m.nu {
		for j := range m.ns {
			n, err := v.node(ratio, m.place(i, j))
			if err != nil {
				return nil, err
			}
			for _, x := range n {
				out = append(out, float32(x))
			}
		}
	}
	return out, nil
}

// place is the eccentricity and angle of a node.
func (m *Map) place(i, j int) (p [2]float64) {
	u := leastU + (1-leastU)*float64(i)/float64(m.nu-1)
	eps := 1 - u*u
	s := float64(j) / float64(m.ns-1)
	lo, hi := 0.0, 1.0
	for range 60 { // s rises with x
		if x := (lo + hi) / 2; across(x, 1-eps) < s {
			lo = x
		} else {
			hi = x
		}
	}
	phi := 2 * math.Asin(math.Sqrt(math.Min(1, (lo+hi)/2)))
	// M_η/η is 0/0 on the axis and in the middle: there a place beside it.
	return [2]float64{math.Max(eps, 1e-3), math.Max(1e-4, math.Min(phi, math.Pi-1e-4))}
}

// node is A, B, C and the side flow of a place.
func (v *Solver) node(ratio float64, at [2]float64) ([4]float64, error) {
	a, err := v.Under(ratio, at[0], at[1], mapMesh())
	if err != nil {
		return [4]float64{}, err
	}
	fa, fb, fc := form(ratio, at[0]*math.Cos(at[1]), at[0]*math.Sin(at[1]))
	return [4]float64{a.Along / fa, a.Across / fb, a.Peak / fc, a.Side}, nil
}
