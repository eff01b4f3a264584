package assess

import (
	"encoding/json"
	"math"
	"sort"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/know/family"
	"fettle/internal/maths/gum"
)

// Explain tells how a value came about and what its doubt is made of; both are
// empty for a value that nobody measured. It only reads, so any number may ask
// at once.
func (a *Assessment) Explain(v *Value) (*Because, []Share) {
	if !v.Has || v.Check || a.e == nil {
		return nil, nil
	}
	return a.e.because(v.node, v.Place, v.State), a.e.budget(v.node, v.UUnit)
}

// MarshalJSON writes the assessment with every value explained.
func (a *Assessment) MarshalJSON() ([]byte, error) {
	type plain Assessment
	full := plain(*a)
	full.Values = make([]Value, len(a.Values))
	copy(full.Values, a.Values)
	for i := range full.Values {
		full.Values[i].Because, full.Values[i].Budget = a.Explain(&a.Values[i])
	}
	return json.Marshal(&full)
}

// because is the relation behind a node with what its symbols stand for.
func (e *evaluation) because(id gum.ID, p *family.Place, state string) *Because {
	rel, args, _ := e.g.Because(id)
	if rel == nil {
		return nil
	}
	b := &Because{Relation: rel.Name, Equation: rel.Equation, Source: rel.Source}
	derived := p.Char.Relation != ""
	for i, ids := range args {
		for j, in := range ids {
			b.Inputs = append(b.Inputs, e.input(rel.In[i].Letter, in, p, derived, state, i, j))
		}
	}
	return b
}

// gaugeTempLetter is the symbol that the temperature of a gauge stands for; the
// cause behind it may be shared with a part that lay beside it.
const gaugeTempLetter = "T′"

// below is the relation behind a node that is no position of its own, such as
// one reading brought to 20 °C; nil for a cause.
func (e *evaluation) below(id gum.ID, p *family.Place, state string) *Because {
	rel, args, _ := e.g.Because(id)
	if rel == nil {
		return nil
	}
	b := &Because{Relation: rel.Name, Equation: rel.Equation, Source: rel.Source}
	for i, ids := range args {
		for _, in := range ids {
			b.Inputs = append(b.Inputs, e.input(rel.In[i].Letter, in, p, false, state, 0, 0))
		}
	}
	return b
}

// input describes one symbol: a position for a derived value, a cause for what
// a reading itself leans on.
func (e *evaluation) input(letter string, id gum.ID, p *family.Place, derived bool, state string, i, j int) Input {
	in := Input{Letter: letter}
	if derived && i < len(p.In) && j < len(p.In[i].Places) {
		q := &e.Layout.Places[p.In[i].Places[j]]
		st := 0
		for k, s := range e.states {
			if s == state {
				st = k
			}
		}
		if k, ok := e.stateOf(p.In[i].Places[j], st); ok {
			in.State = e.states[k]
		}
		in.Position, in.Unit = q.ID, q.Char.Unit
		in.Value = unit.Format(e.g.Value(id), q.Char.Unit, q.Char.Decimals+1)
		return in
	}
	rel, _, leaf := e.g.Because(id)
	switch {
	case leaf != nil && leaf.Kind == gum.Repeat:
		in.Cause, in.Ref = "as-read", leaf.Ref
	case leaf != nil && letter == gaugeTempLetter:
		in.Cause = string(gum.GaugeTemp)
	case leaf != nil:
		in.Cause, in.Ref = string(leaf.Kind), leaf.Ref
	case rel.Name == "sum":
		in.Cause = string(gum.PartTemp)
	default:
		in.Cause, in.Because = rel.Name, e.below(id, p, state)
	}
	x := e.g.Value(id)
	switch {
	case in.Cause == string(gum.Expansion):
		in.Value, in.Unit = unit.Format(x, "1e-6/K", 1), "1e-6/K"
	case in.Cause == string(gum.PartTemp) || in.Cause == string(gum.GaugeTemp):
		in.Value, in.Unit = strconv.FormatFloat(x, 'f', 1, 64), "°C"
	case derived:
		in.Value = strconv.FormatFloat(x, 'g', 8, 64)
		in.Unit = "SI"
	default:
		in.Value, in.Unit = unit.Format(x, p.Char.Unit, p.Char.Decimals+2), p.Char.Unit
	}
	return in
}

// budget groups the causes of a doubt by kind and what they are about.
func (e *evaluation) budget(id gum.ID, in string) []Share {
	type key struct{ kind, ref string }
	sum, order := map[key]float64{}, []key{}
	for _, s := range e.g.Budget(id) {
		k := key{string(s.Kind), s.Ref}
		if _, ok := sum[k]; !ok {
			order = append(order, k)
		}
		sum[k] += s.Part
	}
	sort.SliceStable(order, func(i, j int) bool {
		if d := sum[order[i]] - sum[order[j]]; math.Abs(d) > 1e-12 {
			return d > 0
		}
		if order[i].kind != order[j].kind {
			return order[i].kind < order[j].kind
		}
		return order[i].ref < order[j].ref
	})
	u := e.g.U(id)
	out := make([]Share, 0, len(order))
	for _, k := range order {
		out = append(out, Share{Cause: k.kind, Ref: k.ref, Frac: sum[k],
			U: doubt(u*math.Sqrt(sum[k]), in), Part: strconv.FormatFloat(100*sum[k], 'f', 1, 64)})
	}
	return out
}
