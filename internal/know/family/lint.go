package family

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/unit"
)

// characteristics checks each one by itself and returns those to expand.
func (c *compiler) characteristics() []*Characteristic {
	seen := map[string]bool{}
	var out []*Characteristic
	for i := range c.f.Characteristics {
		ch, before := &c.f.Characteristics[i], len(c.faults)
		path := fmt.Sprintf("characteristics[%d]", i)
		if seen[ch.ID] {
			c.say(path+".id", "family.duplicate", "found", ch.ID)
		}
		seen[ch.ID] = true
		if c.l.parts[ch.Component()] == nil {
			c.say(path+".id", "family.unknown-component", "found", ch.Component())
		}
		if c.dims(path+".per", ch.Per) {
			c.where(path+".only", ch.Only, ch.Per)
			for k := range ch.Limits {
				c.where(fmt.Sprintf("%s.limits[%d].where", path, k), ch.Limits[k].Where, ch.Per)
			}
		}
		c.quantity(path, ch)
		c.limits(path, ch)
		if len(ch.Gauges) == 0 && ch.Relation == "" && ch.Quantity != Check {
			c.say(path, "family.no-gauge", "found", ch.ID)
		}
		for k, g := range ch.Gauges {
			c.knows(fmt.Sprintf("%s.gauges[%d]", path, k), g, c.known.Instruments, "family.unknown-instrument")
		}
		for k, g := range ch.Condition {
			c.knows(fmt.Sprintf("%s.condition[%d]", path, k), g, c.known.Conditions, "family.unknown-condition")
		}
		for k, g := range ch.Plan {
			c.knows(fmt.Sprintf("%s.plan[%d]", path, k), g, c.known.PlanRows, "family.unknown-plan-row")
		}
		if ch.Finding != "" {
			c.knows(path+".finding", ch.Finding, c.known.Findings, "family.unknown-finding")
		}
		if ch.Material != "" {
			c.knows(path+".material", ch.Material, c.known.Materials, "family.unknown-material")
		}
		if ch.Relation == "" && len(ch.Bind) > 0 {
			c.say(path+".bind", "family.bind-without-relation")
		}
		c.symbols(path, ch)
		c.wrong[ch] = c.wrong[ch] || len(c.faults) > before
		out = append(out, ch)
	}
	return out
}

func (c *compiler) quantity(path string, ch *Characteristic) {
	if ch.Quantity == Check {
		if ch.Unit != "" || ch.Relation != "" {
			c.say(path+".quantity", "family.check-has-no-unit")
		}
		return
	}
	dim, ok := unit.DimOf(ch.Quantity)
	if !ok {
		c.say(path+".quantity", "file.not-listed", "found", ch.Quantity, "expected", Check+", "+strings.Join(unit.DimNames(), ", "))
		return
	}
	if d, _, ok := unit.Of(ch.Unit); !ok || d != dim {
		c.say(path+".unit", "file.wrong-unit", "found", ch.Unit, "expected", strings.Join(unit.Names(dim), ", "))
	}
	if !ch.Nominal.IsZero() && ch.Nominal.Dim != dim {
		c.say(path+".nominal", "file.wrong-unit", "found", ch.Nominal.String(), "expected", strings.Join(unit.Names(dim), ", "))
	}
}

func (c *compiler) limits(path string, ch *Characteristic) {
	dim := ch.Dim()
	for k := range ch.Limits {
		lim, at := &ch.Limits[k], fmt.Sprintf("%s.limits[%d]", path, k)
		if _, own := c.f.Source(lim.Source); !own {
			c.knows(at+".source", string(lim.Source), c.known.Sources, "family.unknown-source")
		}
		if ch.Quantity == Check {
			if lim.Must == "" || !lim.Min.IsZero() || !lim.Max.IsZero() {
				c.say(at, "family.check-limit")
			}
			continue
		}
		if lim.Must != "" {
			c.say(at+".must", "family.must-on-value")
		}
		for _, b := range []struct {
			name string
			q    unit.Quantity
		}{{"min", lim.Min}, {"max", lim.Max}} {
			if !b.q.IsZero() && !b.q.Bad() && dim != unit.None && b.q.Dim != dim {
				c.say(at+"."+b.name, "file.wrong-unit", "found", b.q.String(), "expected", strings.Join(unit.Names(dim), ", "))
			}
		}
		switch {
		case lim.Min.IsZero() && lim.Max.IsZero() && !lim.Min.Bad() && !lim.Max.Bad():
			c.say(at, "family.no-bound")
		case !lim.Min.IsZero() && !lim.Max.IsZero() && lim.Min.Dim == lim.Max.Dim && lim.Min.N > lim.Max.N:
			c.say(at+".min", "family.min-above-max", "min", lim.Min.String(), "max", lim.Max.String())
		}
	}
}

func (c *compiler) where(path string, where map[string][]string, per []string) {
	for name, values := range where {
		if !contains(per, name) {
			c.say(path+"."+name, "family.not-in-pattern", "found", name, "expected", strings.Join(per, ", "))
			continue
		}
		for _, v := range values {
			if !c.l.Dims[name].knows(v) {
				c.say(path+"."+name, "family.unknown-name", "found", v, "expected", strings.Join(c.l.Dims[name].Values, ", "))
			}
		}
	}
}

// bind resolves the symbols of a derived characteristic at each of its places.
func (c *compiler) bind(i int, ch *Characteristic) {
	path := fmt.Sprintf("characteristics[%d]", i)
	if c.known.Relations == nil {
		return
	}
	sig, ok := c.known.Relations(ch.Relation)
	if !ok {
		return
	}
	out, before := sig.Out, len(c.faults)
	for i, s := range sig.Symbols {
		dim := c.inputs(path+".bind."+s.Name, ch, s, ch.Bind[s.Name])
		if out == unit.None && i == 0 {
			out = dim
		}
	}
	if len(c.faults) == before && out != unit.None && out != ch.Dim() {
		c.say(path+".quantity", "family.relation-gives", "relation", ch.Relation, "gives", out.String(), "found", ch.Quantity)
	}
}

// symbols checks that the relation exists and that each of its symbols, and
// nothing else, is bound.
func (c *compiler) symbols(path string, ch *Characteristic) {
	if ch.Relation == "" || c.known.Relations == nil {
		return
	}
	sig, ok := c.known.Relations(ch.Relation)
	if !ok {
		c.say(path+".relation", "family.unknown-relation", "found", ch.Relation)
		return
	}
	for name := range ch.Bind {
		if !sig.has(name) {
			c.say(path+".bind."+name, "family.unknown-symbol", "found", name, "relation", ch.Relation, "expected", sig.names())
		}
	}
	for _, s := range sig.Symbols {
		if _, ok := ch.Bind[s.Name]; !ok {
			c.say(path+".bind", "family.unbound-symbol", "symbol", s.Name, "relation", ch.Relation)
		}
	}
}

func (s Signature) has(name string) bool {
	for _, y := range s.Symbols {
		if y.Name == name {
			return true
		}
	}
	return false
}

func (s Signature) names() string {
	var out []string
	for _, y := range s.Symbols {
		out = append(out, y.Name)
	}
	return strings.Join(out, ", ")
}

// inputs fills the inputs of one symbol at every place and returns its kind.
func (c *compiler) inputs(path string, ch *Characteristic, s SymbolSig, b Binding) unit.Dim {
	places := c.l.byChar[b.From]
	var dim unit.Dim
	switch {
	case len(places) > 0:
		from, before := c.l.Places[places[0]].Char, len(c.faults)
		dim = from.Dim()
		c.where(path+".where", b.Where, from.Per)
		if from.Quantity == Check {
			c.say(path, "family.bound-to-check", "found", b.From)
		}
		if len(c.faults) > before {
			return dim
		}
	case c.charExists(b.From):
		return unit.None // has no places in this engine, so neither has what leans on it
	}
	for _, i := range c.l.byChar[ch.ID] {
		p := &c.l.Places[i]
		in := Input{Symbol: s.Name}
		if len(places) > 0 {
			in.Places = c.l.resolve(p, b.From, b.Where)
		} else {
			given, d, ok := c.l.given(p, b)
			if !ok {
				c.say(path+".from", "family.unknown-binding", "found", b.From)
				return unit.None
			}
			in.Given, dim = given, d
		}
		n := len(in.Places) + len(in.Given)
		if n == 0 || !s.Many && n != 1 || s.Many && n < s.Least {
			want := "1"
			if s.Many {
				want = "≥ " + strconv.Itoa(max(1, s.Least))
			}
			c.say(path, "family.bound-count", "found", strconv.Itoa(n), "expected", want, "at", p.ID)
			return dim
		}
		p.In = append(p.In, in)
	}
	if s.Dim != unit.None && dim != s.Dim {
		c.say(path, "family.bound-kind", "found", dim.String(), "expected", s.Dim.String())
	}
	return dim
}

func (c *compiler) charExists(id string) bool {
	for i := range c.f.Characteristics {
		if c.f.Characteristics[i].ID == id {
			return true
		}
	}
	return false
}

// circles reports every characteristic that leans on itself through bindings to
// whole characteristics. It needs no places, so it is said beside whatever else
// is wrong; order finds the circles that only places can show.
func (c *compiler) circles(chars []*Characteristic) {
	const open, done = 1, 2
	mark, index := make([]byte, len(chars)), map[string]int{}
	for i, ch := range chars {
		index[ch.ID] = i
	}
	var visit func(i int)
	visit = func(i int) {
		mark[i] = open
		for _, name := range slices.Sorted(maps.Keys(chars[i].Bind)) {
			b := chars[i].Bind[name]
			k, ok := index[b.From]
			switch {
			case !ok || len(b.Where) > 0 || mark[k] == done:
			case mark[k] == open:
				c.say(fmt.Sprintf("characteristics[%d].bind", k), "family.cycle", "found", chars[k].ID)
			default:
				visit(k)
			}
		}
		mark[i] = done
	}
	for i := range chars {
		if mark[i] == 0 {
			visit(i)
		}
	}
}

// order sorts the places so that inputs come first, and reports the circles
// that are left.
func (c *compiler) order(chars []*Characteristic) {
	const open, done = 1, 2
	mark := make([]byte, len(c.l.Places))
	index := map[string]int{}
	for i, ch := range chars {
		index[ch.ID] = i
	}
	var visit func(i int) bool
	visit = func(i int) bool {
		switch mark[i] {
		case done:
			return true
		case open:
			c.say(fmt.Sprintf("characteristics[%d].bind", index[c.l.Places[i].Char.ID]), "family.cycle", "found", c.l.Places[i].Char.ID)
			return false
		}
		mark[i] = open
		for _, in := range c.l.Places[i].In {
			for _, j := range in.Places {
				if !visit(j) {
					return false
				}
			}
		}
		mark[i] = done
		c.l.Order = append(c.l.Order, i)
		return true
	}
	for i := range c.l.Places {
		if !visit(i) {
			return
		}
	}
}
