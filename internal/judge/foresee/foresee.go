// Package foresee says, before metal is cut, what a cut will do to everything
// else: compression, squish, cam timing, valves and pistons, the tensioner, walls,
// bridges and the height that is left. What readings and relations of the family
// carry comes from the same evaluation as every verdict; what nobody has read yet
// comes from the running file and says so.
package foresee

import (
	"math"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/rule"
	"fettle/internal/know/running"
)

// Cut is what is thought of. Lengths are of metal taken off, m.
type Cut struct {
	Head     float64 // off the head's face
	Block    float64 // off the deck
	Tunnel   float64 // by which the crank rises in a honed tunnel
	Gasket   string  // id of the menu; "" is the first
	Oversize string  // step of the bores by its text; "" leaves them
}

// Spreads of the work, one standard deviation, m. A facing cut is set to a
// hundredth; a pressed gasket keeps its thickness to two; a drawn distance of valve
// and piston is known to a tenth. Common practice, no source.
const (
	cutU    = 5e-6
	flatU   = 3e-6
	gasketU = 10e-6
	gapU    = 0.1e-3
	boreU   = 2e-6
	mostCut = 5e-3
)

// Row is one thing before and after.
type Row struct {
	What          string // key of its name for what no characteristic is: timing, valve-inlet, …
	Position      string // of a characteristic
	Before, After Number
	Verdict       assess.Verdict // of the value after; "" where no limit applies
	Was           assess.Verdict
	Least, Most   *float64
	Unit          string
	Decimals      int
	Drawn         bool // as drawn: nobody has read it on this engine
}

// Number is a value with its standard uncertainty, formula units; Has is false
// where nobody knows it.
type Number struct {
	Value, U float64
	Has      bool
}

// Expanded is twice the standard uncertainty.
func (n Number) Expanded() float64 { return 2 * n.U }

// Preview is what a cut will do.
type Preview struct {
	Cut    Cut
	Drop   Number // by which the head comes nearer to the crank
	Retard Number // of the cams, at the crank, rad; below nought is advance
	Moves  string // chain, belt, gear or pushrod: what the drop works on
	Rows   []Row
	Broken []string // what is rejected after and was not before: What or characteristic
}

// Way is one gasket of the menu with the same cut.
type Way struct {
	Gasket string
	Thick  float64
	Preview
	Ratio float64 // mean compression ratio after
	Off   float64 // from the mean before
}

// Engine is what a preview leans on.
type Engine struct {
	Knowledge assess.Knowledge
	Facts     assess.Facts
	Now       *assess.Assessment
	Running   *running.File // nil where nothing is known of the engine as it runs
}

// Look works out what a cut does.
//
//	Δ = z_h + z_d + t − (h − h₀)
//	φ = 2·Δ·cos β·√(C² − (R − r)²)/(C·R)   at the crank, retard where the taut run pulls
//	v_in = v₀ − Δ·cos γ + λ·φ,  v_ex = v₀ − Δ·cos γ − λ·φ
//	s = s₀ − 2·Δ·cos β/(2·sin α)
//
// z_h, z_d are off head and deck, t the rise of the crank, h and h₀ the gaskets;
// β the slope of the taut run, R and r the radii that the pitches of a chain make
// on its wheels, C their distance; γ the angle of a valve, λ its rise in a radian
// of the crank; s what is left to the tensioner, α half the turn of the slack run
// at its rail. A cam in the block keeps its timing; gears come nearer.
//
// Units:  m, rad.
// Errors: a cut below nought or above 5 mm; a gasket or step that the family does
// not have; what the evaluation refuses.
// Source: doc/model/consequences.md; geometry.
func (e *Engine) Look(c Cut) (*Preview, error) {
	if err := e.check(&c); err != nil {
		return nil, err
	}
	a, err := assess.Evaluate(e.Knowledge, e.Facts, e.plan(c))
	if err != nil {
		return nil, err
	}
	p := &Preview{Cut: c}
	e.drop(p)
	e.carried(p, a)
	e.drawn(p)
	for i := range p.Rows {
		if r := &p.Rows[i]; r.Verdict == assess.Reject && r.Was != assess.Reject {
			name := r.What
			if name == "" {
				name = r.Position
			}
			p.Broken = append(p.Broken, name)
		}
	}
	return p, nil
}

func (e *Engine) check(c *Cut) error {
	for _, x := range []struct {
		name string
		v    float64
	}{{"head", c.Head}, {"block", c.Block}, {"tunnel", c.Tunnel}} {
		if !(x.v >= 0 && x.v <= mostCut) {
			return fault.New(fault.Invalid, "foresee.cut", "what", x.name, "found", unit.Format(x.v, "mm", 3)+" mm", "most", unit.Format(mostCut, "mm", 0)+" mm").In(x.name)
		}
	}
	menu := e.Knowledge.Layout.Family.Engine.Gaskets
	if c.Gasket == "" && len(menu) > 0 {
		c.Gasket = menu[0].ID
	}
	for _, g := range menu {
		if g.ID == c.Gasket {
			return nil
		}
	}
	if c.Gasket == "" {
		return nil
	}
	return fault.New(fault.Invalid, "foresee.gasket", "found", c.Gasket).In("gasket")
}

// plan is the cut as changes of places.
func (e *Engine) plan(c Cut) assess.Plan {
	p := assess.Plan{Oversize: c.Oversize, Figures: map[string]float64{}}
	shift := func(op, char, cause string, by, u float64) {
		for _, at := range e.read(char) {
			p.Changes = append(p.Changes, assess.Change{Operation: op, Position: at, Shift: &by, U: u, Cause: cause})
		}
	}
	set := func(op, char string, to, u float64) {
		for _, at := range e.read(char) {
			p.Changes = append(p.Changes, assess.Change{Operation: op, Position: at, To: &to, U: u})
		}
	}
	if c.Head > 0 {
		shift("reface-head", "head/height", "face", -c.Head, cutU)
		set("reface-head", "head/face-z", 0, flatU)
		if e.Running != nil {
			area := e.Running.Faces.Chamber.SI()
			shift("reface-head", "head/chamber-volume", "face", -area*c.Head, area*cutU)
		}
	}
	if c.Block > 0 {
		shift("deck", "block/deck-height", "deck", -c.Block, cutU)
		set("deck", "block/deck-z", 0, flatU)
	}
	if c.Tunnel > 0 {
		shift("line-hone", "block/deck-height", "tunnel", -c.Tunnel, cutU)
	}
	f := &e.Knowledge.Layout.Family.Engine
	for i, g := range f.Gaskets {
		if g.ID == c.Gasket && i > 0 {
			p.Figures["engine/gasket-thickness"], p.Figures["engine/gasket-bore"] = g.Thickness.SI(), g.Bore.SI()
		}
	}
	for _, q := range f.Oversizes {
		if q.String() == c.Oversize {
			for _, at := range e.read("block/bore") {
				i, _ := e.Knowledge.Layout.Find(at)
				to := q.SI() + e.Knowledge.Layout.Places[i].Char.Nominal.SI()
				p.Changes = append(p.Changes, assess.Change{Operation: "plate-hone", Position: at, To: &to, U: boreU})
			}
			shift("bore", "block/wall", "bore", -q.SI()/2, cutU)
		}
	}
	return p
}

// read lists the places of a characteristic that have been read.
func (e *Engine) read(char string) []string {
	var out []string
	for _, i := range e.Knowledge.Layout.Of(char) {
		id := e.Knowledge.Layout.Places[i].ID
		if _, ok := e.now(id); ok {
			out = append(out, id)
		}
	}
	return out
}

// now is the latest value of a place.
func (e *Engine) now(id string) (*assess.Value, bool) {
	var best *assess.Value
	for _, s := range e.Now.States() {
		if v, ok := e.Now.Find(id, s); ok && v.Has && !v.Check {
			best = v
		}
	}
	return best, best != nil
}

// drop is how far the head comes nearer, and what that does to the cams.
func (e *Engine) drop(p *Preview) {
	f := &e.Knowledge.Layout.Family.Engine
	var was, is float64
	for i, g := range f.Gaskets {
		if i == 0 {
			was = g.Thickness.SI()
		}
		if g.ID == p.Cut.Gasket {
			is = g.Thickness.SI()
		}
	}
	n := 0.0
	for _, z := range []float64{p.Cut.Head, p.Cut.Block, p.Cut.Tunnel} {
		if z > 0 {
			n += cutU * cutU
		}
	}
	if is != was {
		n += 2 * gasketU * gasketU
	}
	p.Drop = Number{p.Cut.Head + p.Cut.Block + p.Cut.Tunnel - (is - was), math.Sqrt(n), true}
	p.Moves = f.Drive.Kind
	if f.Valvetrain.Kind == "pushrod" {
		p.Moves = "pushrod"
	}
	if p.Moves != "chain" && p.Moves != "belt" || e.Running == nil || e.Running.Faces.Centres.SI() <= 0 {
		return
	}
	k := e.turns()
	p.Retard = Number{k * p.Drop.Value, math.Abs(k) * p.Drop.U, true}
}

// turns is the retard of the cams at the crank for a drop of one metre.
func (e *Engine) turns() float64 {
	d := &e.Knowledge.Layout.Family.Engine.Drive
	pitch := d.Pitch.SI()
	big, small := float64(d.CamTeeth)*pitch/(2*math.Pi), float64(d.CrankTeeth)*pitch/(2*math.Pi)
	c := e.Running.Faces.Centres.SI()
	under := c*c - (big-small)*(big-small)
	if !(under > 0) || !(big > 0) {
		return 0
	}
	return 2 * math.Cos(d.Inclination.SI()) * math.Sqrt(under) / (c * big)
}

// carried are the rows that the family's own relations give.
func (e *Engine) carried(p *Preview, a *assess.Assessment) {
	shown := map[string]bool{"cylinder/compression-ratio": true, "cylinder/compression-spread": true, "cylinder/squish": true, "cylinder/deck-clearance": true,
		"head/height-left": true, "head/bridge-step": true, "head/flatness": true, "block/deck-flatness": true, "block/deck-bridge-step": true,
		"block/bridge": true, "block/wall-least": true, "piston/clearance": true}
	for _, v := range a.Planned() {
		c := v.Place.Char
		if !shown[c.ID] || !v.Has {
			continue
		}
		r := Row{Position: v.Position, After: Number{v.SI, v.SU, true}, Verdict: v.Verdict, Unit: c.Unit, Decimals: c.Decimals}
		if v.Limit != nil {
			r.Least, r.Most = v.Limit.Lo, v.Limit.Hi
		}
		if w, ok := a.Before(v); ok {
			r.Before, r.Was = Number{w.SI, w.SU, true}, w.Verdict
		}
		p.Rows = append(p.Rows, r)
	}
}

// drawn are the rows of what nobody has read on this engine, and of the
// tensioner.
func (e *Engine) drawn(p *Preview) {
	if p.Drop.Value == 0 && p.Drop.U == 0 {
		return
	}
	by := e.Now.Rule
	switch p.Moves {
	case "chain", "belt":
		if p.Retard.Has {
			p.Rows = append(p.Rows, Row{What: "timing", Before: Number{0, 0, true}, After: p.Retard, Unit: "°crank", Decimals: 2})
		}
		p.Rows = append(p.Rows, e.tensioner(p, by)...)
	case "gear": // 20° involute teeth come nearer by the drop
		k := 2 * math.Tan(20*math.Pi/180)
		p.Rows = append(p.Rows, Row{What: "backlash", Before: Number{0, 0, true}, After: Number{-k * p.Drop.Value, k * p.Drop.U, true}, Unit: "mm", Decimals: 3})
	case "pushrod":
		p.Rows = append(p.Rows, Row{What: "pushrod", Before: Number{0, 0, true}, After: p.Drop, Unit: "mm", Decimals: 3})
	}
	if e.Running == nil {
		return
	}
	for _, v := range []struct {
		what  string
		reach running.Reach
		sign  float64
	}{{"valve-inlet", e.Running.Faces.Inlet, 1}, {"valve-exhaust", e.Running.Faces.Exhaust, -1}} {
		gap, least := v.reach.Gap.SI(), v.reach.Least.SI()
		k := -math.Cos(v.reach.Angle.SI())
		if p.Retard.Has {
			k += v.sign * v.reach.Rise.SI() / (math.Pi / 180) * e.turns()
		}
		r := Row{What: v.what, Before: Number{gap, gapU, true}, After: Number{gap + k*p.Drop.Value, math.Hypot(gapU, k*p.Drop.U), true},
			Least: &least, Unit: "mm", Decimals: 2, Drawn: true}
		r.Was = by.Verdict(r.Before.Value, r.Before.U, math.Inf(1), &least, nil)
		r.Verdict = by.Verdict(r.After.Value, r.After.U, math.Inf(1), &least, nil)
		p.Rows = append(p.Rows, r)
	}
}

// tensioner is what is left of its stroke.
func (e *Engine) tensioner(p *Preview, by rule.Rule) []Row {
	if e.Running == nil || e.Running.Faces.Rail.SI() <= 0 {
		return nil
	}
	var out []Row
	for _, i := range e.Knowledge.Layout.Of("tensioner/left") {
		q := &e.Knowledge.Layout.Places[i]
		v, ok := e.now(q.ID)
		if !ok {
			continue
		}
		k := math.Cos(e.Knowledge.Layout.Family.Engine.Drive.Inclination.SI()) / math.Sin(e.Running.Faces.Rail.SI())
		r := Row{Position: q.ID, Before: Number{v.SI, v.SU, true}, After: Number{v.SI - k*p.Drop.Value, math.Hypot(v.SU, k*p.Drop.U), true},
			Was: v.Verdict, Unit: q.Char.Unit, Decimals: q.Char.Decimals}
		if v.Limit != nil {
			r.Least, r.Most = v.Limit.Lo, v.Limit.Hi
			r.Verdict = by.Verdict(r.After.Value, r.After.U, math.Inf(1), r.Least, r.Most)
		}
		out = append(out, r)
	}
	return out
}

// Mean is the mean of a characteristic's rows, after and before.
func (p *Preview) Mean(e *Engine, char string) (after, before float64) {
	n := 0.0
	for i := range p.Rows {
		r := &p.Rows[i]
		if at, ok := e.Knowledge.Layout.Find(r.Position); ok && e.Knowledge.Layout.Places[at].Char.ID == char && r.Before.Has {
			after, before, n = after+r.After.Value, before+r.Before.Value, n+1
		}
	}
	return after / n, before / n
}
