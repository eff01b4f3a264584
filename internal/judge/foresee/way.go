package foresee

import (
	"cmp"
	"math"
	"slices"

	"fettle/internal/judge/assess"
)

// A tenth of a compression ratio and half a degree of the crank weigh alike when
// ways are ranked: what a builder calls the same. Common practice, no source.
const (
	ratioWorth  = 0.1
	retardWorth = 0.5 * math.Pi / 180
)

// Ways tries every gasket of the menu with the same cut: first what breaks least,
// then what comes nearest to the compression and the timing that were.
//
// Errors: as Look.
func (e *Engine) Ways(c Cut) ([]Way, error) {
	var out []Way
	for _, g := range e.Knowledge.Layout.Family.Engine.Gaskets {
		c.Gasket = g.ID
		p, err := e.Look(c)
		if err != nil {
			return nil, err
		}
		w := Way{Gasket: g.ID, Thick: g.Thickness.SI(), Preview: *p}
		after, before := p.Mean(e, "cylinder/compression-ratio")
		if after == after && before == before { // both known
			w.Ratio, w.Off = after, after-before
		}
		out = append(out, w)
	}
	slices.SortStableFunc(out, func(a, b Way) int {
		return cmp.Or(cmp.Compare(a.fails(), b.fails()), cmp.Compare(a.far(), b.far()))
	})
	return out, nil
}

// fails counts what lies outside its limits after.
func (w *Way) fails() int {
	n := 0
	for i := range w.Rows {
		if w.Rows[i].Verdict == assess.Reject {
			n++
		}
	}
	return n
}

func (w *Way) far() float64 {
	return math.Abs(w.Off)/ratioWorth + math.Abs(w.Retard.Value)/retardWorth
}
