package assess

import (
	"math"
	"strings"

	"fettle/internal/know/family"
)

// crossed is one place read on both axes, in one state.
type crossed struct {
	first, second *measured
	by, u         float64 // first less second at 20 °C, and what that is uncertain by
}

// exchanged asks where one place is oval the other way than all others like it
// and would fit them if its two readings had changed places: bores wear across
// the crank, all of them. Places alike differ in nothing but the first dimension
// of their pattern, mostly the cylinder or the bearing.
//
// Source: common practice, no source; four scaled median deviations as for
// single values.
func (e *evaluation) exchanged(a *Assessment) {
	pairs, order := e.pairs()
	for _, k := range order {
		list := pairs[k]
		if len(list) < fewest {
			continue
		}
		by := make([]float64, len(list))
		for i := range list {
			by[i] = list[i].by
		}
		usual, mad := spread(by)
		for i := range list {
			c := &list[i]
			scale := math.Max(4*1.4826*mad, 6*c.u)
			if math.Abs(usual) > 3*c.u && math.Abs(c.by-usual) > scale && math.Abs(c.by+usual) < scale {
				r := c.first.Reading
				a.Questions = append(a.Questions, question(AxisExchanged, r, map[string]string{"typed": r.Value, "unit": r.Unit,
					"perhaps": c.second.Value, "other": c.second.Unit}, ""))
			}
		}
	}
}

// pairs collects the places that were read on both axes, by what they have in
// common.
func (e *evaluation) pairs() (map[string][]crossed, []string) {
	out, order := map[string][]crossed{}, []string(nil)
	half := map[string]*measured{}
	for _, sp := range e.order {
		p := &e.Layout.Places[sp.place]
		axis := axisOf(p.Char)
		if axis < 1 {
			continue // what differs only in its axis has no others like it
		}
		used := e.series[sp].used
		if len(used) == 0 || used[0].node < 0 {
			continue
		}
		m, state := used[0], e.states[sp.state]
		place := p.Char.ID + "|" + state + "|" + strings.Join(p.At[:axis], "/") + "|" + strings.Join(p.At[axis+1:], "/")
		o, ok := half[place]
		if !ok {
			half[place] = m
			continue
		}
		k := p.Char.ID + "|" + state + "|" + strings.Join(p.At[1:axis], "/") + "|" + strings.Join(p.At[axis+1:], "/")
		if _, ok := out[k]; !ok {
			order = append(order, k)
		}
		u := math.Hypot(math.Hypot(o.repeat, m.repeat), math.Hypot(o.step, m.step)/math.Sqrt(12))
		out[k] = append(out[k], crossed{o, m, e.g.Value(o.node) - e.g.Value(m.node), u})
	}
	return out, order
}

// axisOf is the place of the dimension axis in a pattern, or -1.
func axisOf(c *family.Characteristic) int {
	for i, dim := range c.Per {
		if dim == "axis" {
			return i
		}
	}
	return -1
}
