package compute

import (
	"math"
	"slices"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/maths/gum"
)

// doubt is one part of what is not known of a value.
type doubt struct {
	distribution string // "" for a normal law, a t where dof is given
	u            float64
	dof          float64 // 0 for infinite
	form         float64 // β of a trapezoid; inexactness over half width
	cause        string
	at           place
}

// distributions are the names that the input takes.
func distributions() []string {
	return []string{"normal", "t", "rectangular", "triangular", "trapezoid", "curvilinear-trapezoid", "arcsine", "exponential", "gamma"}
}

// perDeviation is half the width of a bounded distribution over its standard
// deviation, 0 for one without bounds.
//
// Source: JCGM 101:2008, 6.4.2 to 6.4.6.
func perDeviation(name string, form float64) float64 {
	switch name {
	case "rectangular":
		return math.Sqrt(3)
	case "triangular":
		return math.Sqrt(6)
	case "trapezoid":
		return math.Sqrt(6 / (1 + form*form))
	case "curvilinear-trapezoid":
		return 1 / math.Sqrt(1.0/3+form*form/9)
	case "arcsine":
		return math.Sqrt2
	}
	return 0
}

// shape is the distribution of a doubt about a value.
func (d doubt) shape(at, u float64) (gum.Shape, error) {
	half := u * perDeviation(d.distribution, d.form)
	switch d.distribution {
	case "t":
		return gum.StudentT(at, u, d.dof)
	case "rectangular":
		return gum.Uniform(at-half, at+half)
	case "triangular":
		return gum.Triangle(at-half, at+half)
	case "trapezoid":
		return gum.Trapezium(at-half, at+half, d.form)
	case "curvilinear-trapezoid":
		return gum.Inexact(at-half, at+half, d.form*half)
	case "arcsine":
		return gum.Cycle(at-half, at+half)
	case "":
		if d.dof > 0 {
			return gum.StudentT(at, u, d.dof)
		}
	}
	return gum.Gaussian(at, u)
}

func doubtMembers() []string {
	return []string{"u", "half", "expanded", "k", "dof", "distribution", "beta", "inexact", "cause"}
}

// doubt adds what an object says of the doubt of a value; nothing is no doubt.
func (r *reader) doubt(t *tree, g *given, path string, v amount) {
	half, u := t.get("half"), t.get("u")
	var d doubt
	var ok bool
	switch expanded := t.get("expanded"); {
	case half == nil && u == nil && expanded == nil:
		for _, m := range t.members {
			if m.name != "value" && m.name != "readings" && slices.Contains(doubtMembers(), m.name) {
				r.on(m.at, path).say("compute.no-doubt", "symbol", g.symbol, "found", m.name)
				return
			}
		}
		return
	case half != nil && u != nil || half != nil && expanded != nil || u != nil && expanded != nil:
		r.on(t.at, path).say("compute.two-doubts", "symbol", g.symbol)
		return
	case half != nil:
		a, good := r.spread(half, g, path, v)
		if !good {
			return
		}
		d, ok = r.distribution(t, g, a, true)
	case u != nil:
		a, good := r.spread(u, g, path, v)
		if !good {
			return
		}
		d, ok = r.distribution(t, g, a, false)
	default:
		a, good := r.spread(expanded, g, path, v)
		k, has := r.pure(t, path, "k", 2)
		if !good || !has {
			return
		}
		if !(k > 0) {
			r.on(t.at, path).say("compute.parameter", "symbol", g.symbol, "name", "k", "error", "a number above zero is expected")
			return
		}
		d, ok = r.distribution(t, g, a/k, false)
	}
	if ok && d.u > 0 {
		d.at = t.at
		g.doubts = append(g.doubts, d)
	}
}

// spread reads a width of doubt; alone, a number has the unit of the value.
func (r *reader) spread(t *tree, g *given, path string, v amount) (float64, bool) {
	a, err := amountOf(t.text, v.name)
	if t.kind != 's' || err != nil || !a.powers.same(v.powers) || v.kind != unit.None && a.kind != v.kind && a.kind != unit.None || a.si < 0 {
		found := t.text
		r.on(t.at, path).say("compute.doubt", "symbol", g.symbol, "found", found)
		return 0, false
	}
	return a.si, true
}

// distribution reads the name and parameters of a doubt; width is half of a
// bounded distribution where half is set, else the standard uncertainty.
func (r *reader) distribution(t *tree, g *given, width float64, half bool) (doubt, bool) {
	d := doubt{u: width, at: t.at}
	if n := t.get("distribution"); n != nil {
		if d.distribution = n.text; n.kind != 's' || !slices.Contains(distributions(), n.text) || n.text == "gamma" || n.text == "exponential" {
			r.on(n.at, g.path).say("compute.choice", "name", "distribution", "found", n.text, "expected", strings.Join(distributions()[:7], ", "))
			return d, false
		}
	} else if half {
		d.distribution = "rectangular"
	}
	if c := t.get("cause"); c != nil {
		d.cause = r.text(c, g.path)
	}
	var ok bool
	if d.dof, ok = r.dof(t, g); !ok {
		return d, false
	}
	if d.distribution == "t" && d.dof == 0 {
		r.on(t.at, g.path).say("compute.missing", "symbol", g.symbol+".dof", "kind", "number")
		return d, false
	}
	return d, r.form(t, g, &d, half)
}

// dof reads degrees of freedom, 0 for infinite.
func (r *reader) dof(t *tree, g *given) (float64, bool) {
	n := t.get("dof")
	if n == nil || n.text == "∞" {
		return 0, true
	}
	a, err := amountOf(n.text, "1")
	if n.kind == 'a' || n.kind == 'o' || err != nil || a.kind != unit.Number || !(a.si > 0) {
		r.on(n.at, g.path).say("compute.dof", "symbol", g.symbol, "found", n.text)
		return 0, false
	}
	return a.si, true
}

// form reads what some bounded distributions need besides their width.
func (r *reader) form(t *tree, g *given, d *doubt, half bool) bool {
	wrong := func(name, what string) bool {
		r.on(t.at, g.path).say("compute.parameter", "symbol", g.symbol, "name", name, "error", what)
		return false
	}
	switch beta, inexact := t.get("beta"), t.get("inexact"); {
	case (d.distribution == "trapezoid") != (beta != nil):
		return wrong("beta", "a trapezoid takes its top over its base, and nothing else does")
	case (d.distribution == "curvilinear-trapezoid") != (inexact != nil):
		return wrong("inexact", "a curvilinear trapezoid takes by how much its limits are inexact, and nothing else does")
	case beta != nil:
		var ok bool
		if d.form, ok = r.pure(t, g.path, "beta", 0); !ok || !(d.form >= 0 && d.form <= 1) {
			return wrong("beta", "0 to 1 is expected")
		}
	case inexact != nil:
		if !half {
			return wrong("inexact", "it goes with half, or with low and high")
		}
		w, ok := r.spread(inexact, g, g.path, g.amount)
		if !ok || !(w < d.u) {
			return wrong("inexact", "less than half the width is expected")
		}
		d.form = w / d.u
	}
	if half {
		k := perDeviation(d.distribution, d.form)
		if k == 0 {
			return wrong("half", "a distribution without bounds takes u, or expanded and k")
		}
		d.u /= k
	}
	return true
}
