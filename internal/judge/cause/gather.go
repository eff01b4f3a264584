package cause

import (
	"sort"
	"strconv"
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/know/failure"
	"fettle/internal/know/family"
	"fettle/internal/know/observation"
)

// Facts are what the guide is asked about.
type Facts struct {
	Layout     *family.Layout
	Kinds      *observation.Catalogue
	Failures   *failure.Catalogue
	Job        *job.State
	Assessment *assess.Assessment
}

// Of asks the guide about a job.
func Of(f Facts) Guide { return Ask(f.Failures, Gather(f)) }

// Gather turns what was seen and what is out of its limits, as found, into the
// signs of the catalogue. A sign is there where one of its kinds was seen or one
// of its characteristics is out; it is absent where one of its kinds was looked
// for on a whole component, or all its characteristics were measured and are in,
// and nothing shows it. Anything else was not looked at and is no finding.
func Gather(f Facts) []Found {
	g := gatherer{Facts: f, values: map[string][]*assess.Value{}}
	for i := range f.Assessment.Values {
		v := &f.Assessment.Values[i]
		if v.State == job.Found {
			id := charOf(v.Position)
			g.values[id] = append(g.values[id], v)
		}
	}
	var out []Found
	for i := range f.Failures.Signs {
		if found, ok := g.sign(&f.Failures.Signs[i]); ok {
			out = append(out, found)
		}
	}
	return out
}

// charOf is the characteristic of a position.
func charOf(position string) string {
	parts := strings.SplitN(position, "/", 3)
	if len(parts) < 2 {
		return position
	}
	return parts[0] + "/" + parts[1]
}

type gatherer struct {
	Facts
	values map[string][]*assess.Value // as found, by characteristic
}

// spot is where on the engine something is: along which axis, where on it, and
// on which half of a bearing.
type spot struct{ axis, at, half string }

// sheet is what is known of one sign while it is gathered.
type sheet struct {
	there map[spot]int // places that show it, with how bad it is
	loose bool         // it is there, but nobody said where along the engine
	clear map[spot]bool
	parts []string
	whole bool // one kind was looked for on a whole component
	allIn bool // all characteristics were measured and are in
}

func (g *gatherer) sign(s *failure.Sign) (Found, bool) {
	sh := &sheet{there: map[spot]int{}, clear: map[spot]bool{}}
	for i := range s.Any {
		g.seen(sh, &s.Any[i])
	}
	g.measured(sh, s.Measured)
	out := Found{Sign: s.ID, There: sh.loose || len(sh.there) > 0, Parts: sh.parts}
	if !out.There {
		return out, sh.whole || sh.allIn
	}
	axis := sh.axis()
	if s.Spread && axis != "" {
		out.Patterns, out.Open = g.pattern(sh, axis)
	}
	if s.Half {
		out.Halves = sh.halves()
		if len(out.Halves) > 1 && len(out.Open) == 0 {
			out.Open = []string{"half"}
		}
	}
	return out, true
}

// seen takes over the observations of one kind, in the order of the log: where
// two speak of one place, the later one holds.
func (g *gatherer) seen(sh *sheet, k *failure.Seen) {
	there, clear := map[spot]int{}, map[spot]bool{}
	loose := map[string]bool{} // component: there, nobody said where
	whole := map[string]bool{}
	parts := map[string]bool{}
	for i := range g.Job.Observations {
		o := &g.Job.Observations[i]
		comp, _, _ := strings.Cut(o.Part, "/")
		if o.Kind != k.Kind || !contains(k.On, comp) {
			continue
		}
		spots := g.spots(o.Part, o.At)
		if o.Absent {
			if o.Part == comp && o.At == "" {
				whole[comp] = true
				loose[comp] = false
				for s := range there {
					if g.on(comp, s) {
						delete(there, s)
					}
				}
			}
			for _, s := range spots {
				delete(there, s)
				clear[s] = true
			}
			continue
		}
		if len(k.Within) > 0 && !contains(k.Within, o.Within) {
			continue
		}
		parts[partAt(o)] = true
		whole[comp] = false
		if o.Part == comp && o.At == "" || len(spots) == 0 {
			loose[comp] = true
		} else {
			for _, s := range spots {
				there[s] = max(1, g.Kinds.Rank(o.Severity))
				delete(clear, s)
			}
		}
		if o.Others {
			for _, s := range g.every(comp, o.At) {
				if _, ok := there[s]; !ok {
					clear[s] = true
				}
			}
		}
	}
	for s, bad := range there {
		sh.there[s] = max(sh.there[s], bad)
	}
	for s := range clear {
		sh.clear[s] = true
	}
	for _, l := range loose {
		sh.loose = sh.loose || l
	}
	for _, w := range whole {
		sh.whole = sh.whole || w
	}
	sh.parts = append(sh.parts, sorted(parts)...)
}

// partAt is the part of an observation, with the place on it behind an @.
func partAt(o *job.Observed) string {
	if o.At == "" {
		return o.Part
	}
	return o.Part + "@" + o.At
}

// measured takes over the verdicts on characteristics, as found.
func (g *gatherer) measured(sh *sheet, chars []string) {
	in, n := 0, 0
	for _, id := range chars {
		for _, i := range g.Layout.Of(id) {
			n++
			p := &g.Layout.Places[i]
			for _, v := range g.values[id] {
				if v.Position != p.ID {
					continue
				}
				spots := g.along(p.Char.Per, p.At)
				switch v.Verdict {
				case assess.Accept:
					in++
					for _, s := range spots {
						sh.clear[s] = true
					}
				case assess.Reject:
					sh.parts = append(sh.parts, p.ID)
					if len(spots) == 0 {
						sh.loose = true
					}
					for _, s := range spots {
						sh.there[s] = max(sh.there[s], 0)
					}
				}
			}
		}
	}
	sh.allIn = n > 0 && in == n
}

// spots are the places of a part: a component without indices has all of them,
// or the one that at names.
func (g *gatherer) spots(part, at string) []spot {
	comp, indices, ok := g.Layout.Spot(part)
	if !ok {
		return nil
	}
	if at != "" {
		dim, v, _ := strings.Cut(at, "/")
		return g.along([]string{dim}, []string{v})
	}
	if len(comp.Per) == 0 {
		return nil
	}
	var out []spot
	for _, s := range g.every(comp.ID, "") {
		if in := g.along(comp.Per[:len(indices)], indices); len(indices) == 0 || matches(in, s, len(indices) > 0) {
			out = append(out, s)
		}
	}
	return out
}

// matches says whether a place lies on one of those that indices name.
func matches(named []spot, s spot, some bool) bool {
	for _, n := range named {
		if n.axis == s.axis && n.at == s.at && (n.half == "" || n.half == s.half) {
			return true
		}
	}
	return !some
}

// along turns indices into places along the engine: valves and pins and bridges
// become the cylinders they belong to.
func (g *gatherer) along(per, at []string) []spot {
	half := ""
	for i, d := range per {
		if d == "half" && i < len(at) {
			half = at[i]
		}
	}
	for i, d := range per {
		if i >= len(at) {
			break
		}
		switch d {
		case "cyl", "main":
			return []spot{{d, at[i], half}}
		case "pin", "bridge":
			var out []spot
			for _, c := range g.Layout.Dims[d].Touch["cyl"][at[i]] {
				out = append(out, spot{"cyl", c, half})
			}
			return out
		}
	}
	return nil
}

// every lists all places of a component along the axis it runs over, or along
// the one that at names.
func (g *gatherer) every(component, at string) []spot {
	comp := g.Layout.Component(component)
	axis, halves := "", []string{""}
	for _, d := range comp.Per {
		switch d {
		case "cyl", "main":
			axis = d
		case "half":
			halves = []string{"upper", "lower"}
		}
	}
	if axis == "" {
		dim, _, _ := strings.Cut(at, "/")
		switch dim {
		case "main":
			axis = "main"
		case "cyl", "pin", "bridge":
			axis = "cyl"
		default:
			return nil
		}
	}
	var out []spot
	for _, run := range g.runs(axis) {
		for _, v := range run {
			for _, h := range halves {
				out = append(out, spot{axis, v, h})
			}
		}
	}
	return out
}

// on says whether a place can be one of a component's.
func (g *gatherer) on(component string, s spot) bool {
	comp := g.Layout.Component(component)
	return comp != nil && (len(comp.Per) == 0 || contains(comp.Per, s.axis))
}

// runs are the places along an axis in order, one run a bank.
func (g *gatherer) runs(axis string) [][]string {
	if axis == "cyl" {
		var out [][]string
		for _, bank := range g.Layout.Family.Engine.BankList() {
			var run []string
			for _, n := range bank {
				run = append(run, strconv.Itoa(n))
			}
			out = append(out, run)
		}
		return out
	}
	if d := g.Layout.Dims[axis]; d != nil {
		return [][]string{d.Values}
	}
	return nil
}

// axis is the one along which more places show the sign.
func (sh *sheet) axis() string {
	n := map[string]int{}
	for s := range sh.there {
		n[s.axis]++
	}
	switch {
	case n["cyl"] == 0 && n["main"] == 0:
		return ""
	case n["main"] > n["cyl"]:
		return "main"
	}
	return "cyl"
}

// pattern says how a sign may lie along an axis and which places are open.
func (g *gatherer) pattern(sh *sheet, axis string) (possible, open []string) {
	has := map[string]int{}
	looked := map[string]bool{}
	for s, bad := range sh.there {
		if s.axis == axis {
			has[s.at] = max(has[s.at], bad)
		}
	}
	for s := range sh.clear {
		if s.axis == axis {
			looked[s.at] = true
		}
	}
	runs := g.runs(axis)
	n := 0
	for _, run := range runs {
		for _, p := range run {
			n++
			if _, ok := has[p]; !ok && !looked[p] {
				open = append(open, p)
			}
		}
	}
	if n < 2 {
		return nil, nil
	}
	return Possible(runs, has, open), open
}

// halves says on which halves of the bearings a sign may lie.
func (sh *sheet) halves() []string {
	on := map[string]bool{}
	other := map[string]bool{"upper": true, "lower": true} // the other half is known to be clear
	for s := range sh.there {
		if s.half == "" {
			return nil
		}
		on[s.half] = true
		for _, h := range []string{"upper", "lower"} {
			if h != s.half && !sh.clear[spot{s.axis, s.at, h}] {
				other[h] = false
			}
		}
	}
	switch {
	case on["upper"] && on["lower"]:
		return []string{"both"}
	case on["upper"] && other["lower"]:
		return []string{"upper"}
	case on["upper"]:
		return []string{"upper", "both"}
	case on["lower"] && other["upper"]:
		return []string{"lower"}
	case on["lower"]:
		return []string{"lower", "both"}
	}
	return nil
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

func sorted(m map[string]bool) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
