package compute

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// Result is what a budget put to a relation by name gives. Value and u are
// rounded to the second digit of the doubt, full has them as they came.
type Result struct {
	Name     string    `json:"name"`
	Equation string    `json:"equation"`
	Source   cite.Key  `json:"source"`
	Value    string    `json:"value"`
	Unit     string    `json:"unit"`
	U        string    `json:"u"`   // standard uncertainty, same unit
	Dof      string    `json:"dof"` // effective degrees of freedom, not rounded
	Full     Full      `json:"full"`
	Coverage *Coverage `json:"coverage,omitempty"`
	Second   *Second   `json:"second_order,omitempty"`
	Draws    *Draws    `json:"draws,omitempty"`
	Budget   []Cause   `json:"budget"`
	Notes    []string  `json:"notes,omitempty"` // message keys
}

// Full is value and standard uncertainty with their units, not rounded.
type Full struct {
	Value string `json:"value"`
	U     string `json:"u"`
}

// Cause is one cause's part of the variance.
type Cause struct {
	Symbol       string `json:"symbol"` // input, or the name of the cause that several share
	Distribution string `json:"distribution,omitempty"`
	U            string `json:"u,omitempty"` // in the unit of the input
	Dof          string `json:"dof,omitempty"`
	Contribution string `json:"contribution"` // |∂y/∂x|·u, unit of the result
	Part         string `json:"part"`         // percent of the variance
}

// Run puts the budget of a JSON object to a relation: one member a symbol name,
// as Schema describes, and the options of every budget.
//
// Errors: every symbol that is missing, unknown, of the wrong kind or no
// number, as one list of faults, each with line and column.
func Run(r *gum.Relation, input []byte) (Result, error) {
	m, _ := modelOf(r.Name)
	return m.run(input)
}

func (m model) run(input []byte) (Result, error) {
	t, err := parse(input)
	if err != nil {
		return Result{}, err
	}
	b := newBudget()
	b.only(t, "", append(m.members, options()...))
	a := b.asked(t)
	n, ok := m.apply(b, t, "")
	if !ok || len(b.faults) > 0 {
		return Result{}, b.mistakes()
	}
	if n, ok = b.last(t, n); !ok {
		return Result{}, b.mistakes()
	}
	return b.result(m, n, a)
}

// mistakes are the faults in the order of their places.
func (r *reader) mistakes() error {
	sort.SliceStable(r.faults, func(i, j int) bool {
		a, b := r.faults[i], r.faults[j]
		return a.Line < b.Line || a.Line == b.Line && a.Col < b.Col
	})
	return r.faults.OrNil()
}

// last is the result in the unit asked for.
func (b *budget) last(t *tree, n node) (node, bool) {
	s, ok := b.unit(t, "", n.scale)
	if t.get("unit") == nil {
		s = n.scale
	}
	return node{n.id, s}, ok
}

func (b *budget) result(m model, n node, a asked) (Result, error) {
	y, u := b.g.Value(n.id), b.g.U(n.id)
	if math.IsNaN(u) || math.IsInf(u, 0) {
		return Result{}, fault.New(fault.Invalid, "compute.no-value", "error", "its standard uncertainty is beyond all numbers")
	}
	res := Result{Name: m.name, Equation: m.equation, Source: m.source, Unit: n.name, Dof: digitsOf(b.g.Dof(n.id)),
		Full: Full{n.write(y), n.write(u)}, Budget: b.shares(n, u)}
	res.Value, res.U = digits(y/n.factor, u/n.factor)
	fail := func(err error) (Result, error) {
		return Result{}, fault.New(fault.Invalid, "compute.no-value", "error", err.Error())
	}
	var err error
	if u > 0 {
		if res.Coverage, err = b.coverage(n, a); err != nil {
			return fail(err)
		}
	}
	if m.relation == nil && m.name != "linear" || m.relation != nil && !m.relation.Linear {
		s := b.g.SecondOrder(n.id)
		if math.Abs(s.Shift) < 1e-12*math.Max(s.U, math.Abs(y)) {
			s.Shift = 0 // what rounding leaves
		}
		res.Second = &Second{U: n.write(s.U), Shift: n.write(s.Shift), Curved: s.Curved}
		if s.Curved {
			res.Notes = append(res.Notes, "compute.note.curved")
		}
	}
	if a.draws > 0 || a.digits > 0 {
		if res.Draws, err = b.draw(n, a); err != nil {
			return fail(err)
		}
		if !res.Draws.Stable {
			res.Notes = append(res.Notes, "compute.note.unstable")
		}
		if res.Draws.Heavy {
			res.Notes = append(res.Notes, "compute.note.heavy")
		}
	}
	return res, nil
}

// shares lists the causes, largest first; values that are correlated make one
// line together, for none of them has a part of its own.
func (b *budget) shares(n node, u float64) []Cause {
	out, joint, names := []Cause{}, 0.0, []string{}
	write := func(part float64) string { return strconv.FormatFloat(100*part, 'f', 1, 64) }
	for _, s := range b.g.Budget(n.id) {
		l := b.leaves[s.Key]
		if l.joint || strings.HasPrefix(s.Key, "joint:") {
			joint += s.Part
			continue
		}
		if s.Part < 1e-24 {
			s.Sensitivity = 0 // what rounding leaves
		}
		c := Cause{Symbol: s.Ref, Distribution: l.distribution, Contribution: n.write(math.Abs(s.Sensitivity) * s.U), Part: write(s.Part)}
		if l.cause == "" && l.scale.factor > 0 {
			c.U = l.scale.write(s.U)
		}
		if s.Dof > 0 && !math.IsInf(s.Dof, 1) {
			c.Dof = digitsOf(s.Dof)
		}
		out = append(out, c)
	}
	if joint > 0 {
		for _, l := range b.leaves {
			if l.joint {
				names = append(names, l.symbol)
			}
		}
		sort.Strings(names)
		out = append(out, Cause{Symbol: strings.Join(names, " & "), Contribution: n.write(math.Sqrt(joint) * u), Part: write(joint)})
	}
	return out
}

func symbolNames(r *gum.Relation) []string {
	var out []string
	for _, s := range r.In {
		out = append(out, s.Name)
	}
	return out
}

func kindOf(d unit.Dim) string {
	if d == unit.None {
		return "any"
	}
	return d.String()
}

// digits writes a value to the second digit of its doubt, or to ten significant
// digits where there is none.
func digits(y, u float64) (string, string) {
	if u == 0 {
		return strconv.FormatFloat(y, 'g', 10, 64), "0"
	}
	n := 1 - int(math.Floor(math.Log10(u)))
	n = min(max(n, 0), 15)
	return strconv.FormatFloat(y, 'f', n, 64), strconv.FormatFloat(u, 'f', n, 64)
}
