package assess

import (
	"math"
	"sort"

	"fettle/internal/maths/gum"
)

// SharedCause is a cause that reaches a derived value through two or more of
// its inputs.
type SharedCause struct {
	Cause, Ref string
	Through    []Route // one for each input that the cause moves, in order of the inputs
	// Net is what the cause does to the value in the end, signed: the sum of what
	// comes through each input, for one standard uncertainty of the cause.
	Net    string // decimal in the unit of the value's doubt
	Effect Effect
	// Weight is all that comes in, counted without sign, over the standard
	// uncertainty of the value.
	Weight float64

	sum, net float64 // formula units
}

// Route is one input by which a cause comes in.
type Route struct {
	Position, State string
	By              string // signed, decimal in the unit of the value's doubt

	by float64
}

// Effect is what a shared cause does in the end.
type Effect string

// The effects: what comes in by one input is taken out by another, all of it or
// a part; or everything comes in on one side.
const (
	Cancels Effect = "cancels"
	Partly  Effect = "partly"
	Adds    Effect = "adds"
)

// gone is the part of what comes in below which what is left counts as nothing.
const gone = 0.02

// Shared lists the causes that a derived value has through two or more of its
// inputs, those that move most first, with what each input brings in:
//
//	b_i = ∂y/∂x_i · ∂x_i/∂q · u(q),   net = Σ b_i
//
// A cause cancels where |net| is below a fiftieth of Σ|b_i|, and adds where all
// b_i have one sign.
//
// Shapes: value -> list.
// Units:  those of the value's doubt.
// Errors: none; nothing for a reading, a check and what is not there.
// Source: JCGM 100:2008, 5.2.2 and F.1.2.3, with every input expanded to its
// causes; the fiftieth is common practice, no source.
func (a *Assessment) Shared(v *Value) []SharedCause {
	if !v.Has || v.Check || !v.Derived || a.e == nil {
		return nil
	}
	e := a.e
	rel, args, _ := e.g.Because(v.node)
	if rel == nil {
		return nil
	}
	why := e.because(v.node, v.Place, v.State)
	slopes := e.slopes(rel, args)
	found, order, n := map[string]*SharedCause{}, []string{}, 0
	for i, ids := range args {
		for j, id := range ids {
			in := &why.Inputs[n]
			n++
			if in.Position == "" || slopes[i][j] == 0 {
				continue
			}
			for _, s := range e.g.Budget(id) {
				if s.Key == "" {
					continue // a cause of this input alone
				}
				c := found[s.Key]
				if c == nil {
					c = &SharedCause{Cause: string(s.Kind), Ref: s.Ref}
					found[s.Key], order = c, append(order, s.Key)
				}
				b := slopes[i][j] * s.Sensitivity * s.U
				c.Through = append(c.Through, Route{Position: in.Position, State: in.State, by: b})
				c.net, c.sum = c.net+b, c.sum+math.Abs(b)
			}
		}
	}
	var out []SharedCause
	for _, k := range order {
		if c := found[k]; len(c.Through) > 1 && c.sum > 1e-6*v.SU {
			c.close(v.UUnit)
			c.Weight = c.sum / v.SU
			out = append(out, *c)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].sum > out[j].sum })
	return out
}

// close judges the effect and writes the figures.
func (c *SharedCause) close(in string) {
	switch {
	case math.Abs(c.net) < gone*c.sum:
		c.Effect = Cancels
	case math.Abs(c.net) > c.sum*(1-1e-9):
		c.Effect = Adds
	default:
		c.Effect = Partly
	}
	if math.Abs(c.net) < 1e-9*c.sum {
		c.net = 0 // what is left comes from the arithmetic
	}
	c.Net = doubt(c.net, in)
	for i := range c.Through {
		c.Through[i].By = doubt(c.Through[i].by, in)
	}
}

// slopes are the partials of a relation at its inputs.
func (e *evaluation) slopes(rel *gum.Relation, args [][]gum.ID) [][]float64 {
	x, d := make([][]float64, len(args)), make([][]float64, len(args))
	for i, ids := range args {
		x[i], d[i] = make([]float64, len(ids)), make([]float64, len(ids))
		for j, id := range ids {
			x[i][j] = e.g.Value(id)
		}
	}
	rel.Partials(x, d)
	return d
}
