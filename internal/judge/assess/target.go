package assess

import (
	"math"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// Stock that a machine must take off the diameter beyond the worst place to
// leave a clean surface. Source: common practice, no source: a boring cut and
// the hone behind it, and a grinding cut.
const (
	boreAllowance    = 0.02e-3
	journalAllowance = 0.01e-3
)

// targets works out the machining size of each group: all bores of an engine
// take one size, as do all mains and all pins.
func (e *evaluation) targets(a *Assessment) error {
	for _, g := range e.ladders() {
		t := &tool{evaluation: e, a: a, base: g.base.SI(), ladder: g.steps, sign: g.sign, allow: g.allow}
		target, ok, err := t.group(g.name)
		if err != nil {
			return err
		}
		if ok {
			a.Targets = append(a.Targets, target)
		}
	}
	return nil
}

// tool works on one group.
type tool struct {
	*evaluation
	a      *Assessment
	base   float64
	ladder []unit.Quantity
	sign   float64 // 1: material leaves and the diameter grows, −1: it shrinks
	allow  float64
	name   string
	chars  map[string]bool
	parts  []string
	worn   map[string]*wear
}

// wear is the extremes of one bore or journal.
type wear struct {
	far, near float64 // in the direction of the cut, formula units
	lobed     float64 // form that two-point sizes do not see, formula units
	at        string  // position of far
	guard     float64
	unit      string
	dec       int
}

func (t *tool) group(name string) (Target, bool, error) {
	t.name = name
	t.gather(name)
	if len(t.parts) == 0 {
		return Target{}, false, nil
	}
	out := Target{Group: name, Needed: t.needed()}
	need, governs := 0.0, ""
	for _, part := range t.parts {
		if s := t.step(t.worn[part]); s > need || governs == "" {
			need, governs = s, part
		}
	}
	w := t.worn[governs]
	out.Unit, out.Governs = w.unit, w.at
	out.Allowance = unit.Format(t.allow, w.unit, w.dec)
	step, ok, err := t.choose(name, need)
	if err != nil {
		return out, false, err
	}
	switch {
	case !out.Needed:
		out.Why = *say("target.none")
	case len(t.ladder) == 0:
		out.Beyond, out.Why = true, *say("target.no-ladder")
	case !ok && t.planned(name) && need <= t.ladder[len(t.ladder)-1].SI():
		out.Why = *say("target.plan-short", "governs", w.at, "step", step.String())
	case !ok:
		out.Beyond, out.Why = true, *say("target.beyond", "governs", w.at, "last", t.ladder[len(t.ladder)-1].String())
	default:
		out.Step, out.Size = step.String(), unit.Format(t.base+t.sign*step.SI(), w.unit, w.dec)
		key := "target.step"
		if t.planned(name) {
			key = "target.plan"
		}
		out.Why = *say(key, "governs", w.at, "step", step.String(), "allowance", out.Allowance+" "+w.unit)
	}
	for _, part := range t.parts {
		out.Places = append(out.Places, t.row(part, name, out.Needed && ok, step.SI()))
	}
	return out, true, nil
}

// lastRead is the last state that somebody reads in: a size that is planned is not one
// to be cut from.
func (e *evaluation) lastRead() int {
	last := len(e.states) - 1
	if e.states[last] == job.Planned {
		last--
	}
	return last
}

// gather finds the parts of the group and their extremes at 20 °C, each place
// in its latest state.
func (t *tool) gather(name string) {
	t.chars, t.worn = map[string]bool{}, map[string]*wear{}
	for i := range t.Layout.Places {
		p := &t.Layout.Places[i]
		if p.Char.Target != name || p.Char.Relation != "" {
			continue
		}
		t.chars[p.Char.ID] = true
		st, ok := t.stateOf(i, t.lastRead())
		if !ok {
			continue
		}
		id := t.nodes[spot{i, st}]
		key := owner(p)
		w := t.worn[key]
		if w == nil {
			w = &wear{far: math.Inf(-1), near: math.Inf(1), unit: p.Char.Unit, dec: p.Char.Decimals}
			t.worn[key] = w
			t.parts = append(t.parts, key)
		}
		y := t.sign * t.g.Value(id)
		if y > w.far {
			w.far, w.at, w.guard = y, p.ID, t.by.Guard(t.g.Dof(id))*t.g.U(id)
		}
		w.near = math.Min(w.near, y)
	}
	t.lobes(name)
}

// lobes adds to each journal the form that follows for its group from a vee:
// the circle inside a lobed outline is smaller than every two-point size by it.
func (t *tool) lobes(name string) {
	for i := range t.Layout.Places {
		p := &t.Layout.Places[i]
		if p.Char.Target != name || p.Char.Relation == "" || len(p.At) == 0 {
			continue
		}
		st, ok := t.stateOf(i, t.lastRead())
		if !ok {
			continue
		}
		for part, w := range t.worn {
			if strings.HasSuffix(part, "/"+p.At[0]) {
				w.lobed = math.Max(w.lobed, t.g.Value(t.nodes[spot{i, st}]))
			}
		}
	}
}

// owner is the bore or journal a place belongs to: the characteristic with its
// first index.
func owner(p *family.Place) string {
	if len(p.At) == 0 {
		return p.Char.ID
	}
	return p.Char.ID + "/" + p.At[0]
}

// needed reports whether the group must be cut: a size of it is rejected, or
// something derived from sizes of one bore or journal alone.
func (t *tool) needed() bool {
	for i := range t.a.Values {
		v := &t.a.Values[i]
		if v.Verdict != Reject || v.Place == nil || t.stale(v) {
			continue
		}
		if v.Place.Char.Target != "" && v.Place.Char.Target == t.name || t.shape(v.Place) {
			return true
		}
	}
	return false
}

// stale reports a value that was planned, or that somebody has read again in a
// later state.
func (t *tool) stale(v *Value) bool {
	for _, s := range t.states[t.rankOf(v.State)+1:] {
		if w, ok := t.a.Find(v.Position, s); ok && w.Has && s != job.Planned {
			return true
		}
	}
	return v.State == job.Planned
}

func (t *tool) shape(p *family.Place) bool {
	switch p.Char.Relation {
	case "taper", "out-of-round", "wear":
	default:
		return false
	}
	for _, in := range p.In {
		for _, at := range in.Places {
			if !t.chars[t.Layout.Places[at].Char.ID] {
				return false
			}
		}
	}
	return true
}

// step is the cut on diameter that cleans one bore or journal up: if all wear
// lies on one side and the axis is kept, the diameter must change by twice the
// wear there; on top come the form f that only a vee shows, the doubt of the
// worst reading and the allowance.
//
//	s = (d_far − d₀) + (d_far − d_near) + f + g + a
//
// Source: geometry; the allowance is common practice, no source.
func (t *tool) step(w *wear) float64 {
	return (w.far - t.sign*t.base) + (w.far - w.near) + w.lobed + w.guard + t.allow
}

// choose is the smallest step of the ladder that reaches need, or the one the
// plan asks for.
func (t *tool) choose(name string, need float64) (unit.Quantity, bool, error) {
	if t.planned(name) {
		for _, q := range t.ladder {
			if q.String() == t.plan.Oversize {
				return q, q.SI() >= need, nil
			}
		}
		return unit.Quantity{}, false, fault.New(fault.Invalid, "assess.no-step", "found", t.plan.Oversize)
	}
	for _, q := range t.ladder {
		if q.SI() >= need {
			return q, true, nil
		}
	}
	return unit.Quantity{}, false, nil
}

// planned reports whether the plan names the step of a group.
func (t *tool) planned(name string) bool { return name == "bore" && t.plan.Oversize != "" }

func (t *tool) row(part, name string, cut bool, step float64) TargetRow {
	w := t.worn[part]
	r := TargetRow{Part: part, Position: w.at, Extreme: unit.Format(t.sign*w.far, w.unit, w.dec+1)}
	need := t.step(w)
	for _, q := range t.ladder {
		if q.SI() >= need {
			r.CleansUp = q.String()
			break
		}
	}
	if !cut {
		return r
	}
	r.Stock = unit.Format(t.sign*t.base+step-w.far, w.unit, w.dec+1)
	if name == "bore" {
		cyl := part[strings.LastIndexByte(part, '/')+1:]
		r.Wall, r.WallOK = t.least("wall", cyl, step)
		r.Bridge, r.BridgeOK = t.least("bridge", cyl, step)
	}
	return r
}

// loss is how much of a wall or bridge a cut to step takes: a wall half the
// growth of the nominal diameter, a bridge what the new bores are larger than
// the present ones it was derived from.
func (t *tool) loss(p *family.Place, what string, step float64) float64 {
	if what == "wall" {
		return step / 2
	}
	var sum float64
	var n int
	for _, in := range p.In {
		if in.Symbol != "bore" {
			continue // the spacing stays
		}
		for _, at := range in.Places {
			if st, ok := t.stateOf(at, t.lastRead()); ok {
				sum += t.g.Value(t.nodes[spot{at, st}])
				n++
			}
		}
	}
	return t.base + step - sum/float64(n)
}

// least is what is left of the thinnest wall or bridge of one cylinder after a
// cut, with its verdict against the characteristic's own limits. A wall is the
// characteristic named wall of a component of the block, a bridge one bound by the
// relation bridge.
func (t *tool) least(what, cyl string, step float64) (string, string) {
	best, at := math.Inf(1), -1
	for i := range t.Layout.Places {
		p := &t.Layout.Places[i]
		if !t.concerns(p, what, cyl) {
			continue
		}
		st, ok := t.stateOf(i, t.lastRead())
		if !ok {
			continue
		}
		if y := t.g.Value(t.nodes[spot{i, st}]) - t.loss(p, what, step); y < best {
			best, at = y, i
		}
	}
	if at < 0 {
		return "", string(Unmeasured)
	}
	p := &t.Layout.Places[at]
	st, _ := t.stateOf(at, t.lastRead())
	id := t.nodes[spot{at, st}]
	b, verdict := t.bounds(p, t.states[0]), ""
	if b != nil {
		verdict = string(t.by.Verdict(best, t.g.U(id), t.g.Dof(id), b.Lo, b.Hi))
	}
	return unit.Format(best, p.Char.Unit, p.Char.Decimals), verdict
}

func (t *tool) concerns(p *family.Place, what, cyl string) bool {
	if what == "bridge" {
		if p.Char.Relation != "bridge" || len(p.At) == 0 {
			return false
		}
		for _, c := range t.Layout.Dims["bridge"].Touch["cyl"][p.At[0]] {
			if c == cyl {
				return true
			}
		}
		return false
	}
	c := t.Layout.Component(p.Char.Component())
	if p.Char.ID != p.Char.Component()+"/wall" || p.Char.Relation != "" || c == nil || c.System != "block" {
		return false
	}
	for i, d := range p.Char.Per {
		if d == "cyl" {
			return p.At[i] == cyl
		}
	}
	return false
}
