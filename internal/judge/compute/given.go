package compute

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// given is one value of the input as it was meant.
type given struct {
	amount
	symbol string
	doubts []doubt
	own    gum.Shape // a distribution that says its own value: gamma, exponential
	of     string    // a value or step of a chain instead
	at     place
	path   string
}

func givenMembers() []string {
	return append([]string{"value", "of", "low", "high", "readings", "count", "doubts"}, doubtMembers()...)
}

// given reads one value: a text, or an object with its doubt. want is the kind
// of quantity, None for any; extra are members that the caller reads.
func (r *reader) given(t *tree, symbol, path string, want unit.Dim, lone string, extra ...string) given {
	g := given{symbol: symbol, at: t.at, path: path}
	switch t.kind {
	case 's':
		g.amount, _ = r.amount(t, path, want, lone)
		return g
	case 'o':
	default:
		r.on(t.at, path).say("compute.not-a-value", "symbol", symbol)
		return g
	}
	if !r.only(t, path, append(givenMembers(), extra...)) {
		return g
	}
	if of := t.get("of"); of != nil {
		g.of = r.text(of, path)
		return g
	}
	center := r.centre(t, &g, want, lone)
	if !center || len(r.faults) > 0 {
		return g
	}
	if g.own.IsZero() && (t.get("low") == nil) {
		r.doubt(t, &g, path, g.amount)
	}
	if list := t.get("doubts"); list != nil {
		for i, d := range r.elements(list, path) {
			at := path + ".doubts[" + strconv.Itoa(i) + "]"
			if d.kind != 'o' {
				r.on(d.at, at).say("compute.not-a-doubt", "symbol", symbol)
				continue
			}
			if r.only(d, at, doubtMembers()) {
				r.doubt(d, &g, at, g.amount)
			}
		}
	}
	return g
}

// centre reads the value itself: stated, between limits, the mean of readings,
// or that of a distribution which says it.
func (r *reader) centre(t *tree, g *given, want unit.Dim, lone string) bool {
	name := ""
	if d := t.get("distribution"); d != nil {
		name = d.text
	}
	path := g.path
	ways := 0
	for _, names := range [][]string{{"low", "high"}, {"readings"}, {"count"}, {"value"}} {
		if slices.ContainsFunc(names, func(n string) bool { return t.get(n) != nil }) {
			ways++
		}
	}
	own := name == "exponential" || name == "gamma"
	width := t.get("u") != nil || t.get("half") != nil || t.get("expanded") != nil
	if ways > 1 || own && width || (name == "gamma") != (t.get("count") != nil) || own && t.get("value") == nil && name == "exponential" {
		r.on(t.at, path).say("compute.one-centre", "symbol", g.symbol)
		return false
	}
	switch {
	case t.get("low") != nil || t.get("high") != nil:
		return r.between(t, g, want, lone)
	case t.get("readings") != nil:
		return r.readings(t.get("readings"), g, want, lone)
	case name == "gamma":
		q, ok := r.pure(t, path, "count", 0)
		shape, err := gum.Count(q)
		if !ok || err != nil || want != unit.Number && want != unit.None {
			r.on(t.at, path).say("compute.parameter", "symbol", g.symbol, "name", "count", "error", "a count of zero or more is expected, where a pure number is")
			return false
		}
		one, _ := scaleOf("1")
		g.amount, g.own = amount{shape.Mean(), one}, shape
		return true
	}
	v := t.get("value")
	if v == nil {
		r.on(t.at, path).say("compute.missing", "symbol", g.symbol+".value", "kind", kindOf(want))
		return false
	}
	if v.kind != 's' {
		r.on(v.at, path).say("compute.not-a-value", "symbol", g.symbol)
		return false
	}
	var ok bool
	if g.amount, ok = r.amount(v, path, want, lone); ok && name == "exponential" {
		shape, err := gum.Decay(g.si)
		if err != nil {
			r.on(v.at, path).say("compute.parameter", "symbol", g.symbol, "name", "value", "error", err.Error())
			return false
		}
		g.own = shape
	}
	return ok
}

func (r *reader) between(t *tree, g *given, want unit.Dim, lone string) bool {
	low, high := t.get("low"), t.get("high")
	if low == nil || high == nil || t.get("u") != nil || t.get("half") != nil || t.get("expanded") != nil {
		r.on(t.at, g.path).say("compute.limits", "symbol", g.symbol)
		return false
	}
	a, ok := r.amount(low, g.path, want, lone)
	b, ok2 := r.amount(high, g.path, want, lone)
	if !ok || !ok2 {
		return false
	}
	if !(b.si > a.si) || !a.powers.same(b.powers) {
		r.on(high.at, g.path).say("compute.limits", "symbol", g.symbol)
		return false
	}
	g.amount = amount{(a.si + b.si) / 2, a.scale}
	d, ok := r.distribution(t, g, (b.si-a.si)/2, true)
	if ok {
		g.doubts = append(g.doubts, d)
	}
	return ok
}

// readings are repeats of one value: their mean, with the scatter of the mean.
//
//	u = s/√n,   ν = n − 1
//
// Source: JCGM 100:2008, 4.2.
func (r *reader) readings(t *tree, g *given, want unit.Dim, lone string) bool {
	var v []float64
	for i, e := range r.elements(t, g.path) {
		a, ok := r.amount(e, g.path+".readings["+strconv.Itoa(i)+"]", want, lone)
		if !ok {
			return false
		}
		if i == 0 {
			g.amount = a
		}
		if !a.powers.same(g.powers) {
			r.wrongUnit(e.at, g.path, a.name, g.scale)
			return false
		}
		v = append(v, a.si)
	}
	if len(v) < 2 {
		r.on(t.at, g.path).say("compute.count", "symbol", g.symbol+".readings", "expected", "2", "found", strconv.Itoa(len(v)))
		return false
	}
	var s float64
	m := mean(v)
	for _, x := range v {
		s += (x - m) * (x - m)
	}
	n := float64(len(v))
	g.si = m
	if s > 0 {
		g.doubts = append(g.doubts, doubt{u: math.Sqrt(s / (n - 1) / n), dof: n - 1, at: t.at})
	}
	return true
}

func (r *reader) wrongUnit(at place, path, found string, want scale) {
	expected := want.name
	if want.kind != unit.None {
		expected = strings.Join(unit.Names(want.kind), ", ")
	}
	r.on(at, path).say("file.wrong-unit", "found", found, "expected", expected)
}
