// Package route is how a shop comes from findings to a plan: the routes it
// offers, what each does about a finding, and which parts are chosen to fit
// which places. It proposes; a person's decision always stands before it.
package route

import (
	"slices"
	"strconv"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/file"
	"fettle/internal/know/finding"
	"fettle/internal/know/words"
)

// File is data/routes.yaml.
type File struct {
	Format string   `json:"fettle" jsonschema:"enum=routes/1"`
	Routes []Route  `json:"routes" jsonschema:"minItems=1"`
	Always []string `json:"always" jsonschema:"description=operations that every route ends with; those that work on what an engine does not have are passed over"`
	Fits   []Fit    `json:"fits" jsonschema:"minItems=1"`
	Uses   []Use    `json:"uses" jsonschema:"minItems=1"`
}

// Route is one way to go about an engine.
type Route struct {
	ID     string      `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name   words.Text  `json:"name"`
	What   words.Text  `json:"what"`
	Prefer Prefer      `json:"prefer"`
	Except []Except    `json:"except,omitempty"`
	Use    string      `json:"use" jsonschema:"description=id of a use, for the gaps of the rings"`
	Source cite.Key    `json:"source"`
	Status cite.Status `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Prefer lists outcomes, the one taken first at the front, by the severity of a
// finding; Doubt is for one that is only undecided.
type Prefer struct {
	Act   []string `json:"act" jsonschema:"minItems=1"`
	Watch []string `json:"watch" jsonschema:"minItems=1"`
	Note  []string `json:"note" jsonschema:"minItems=1"`
	Doubt []string `json:"doubt" jsonschema:"minItems=1"`
}

// Except is another order for one finding.
type Except struct {
	Finding string   `json:"finding"`
	Prefer  []string `json:"prefer" jsonschema:"minItems=1"`
}

// The kinds of fit.
const (
	Shells  = "shells"  // two half shells in each housing
	Shims   = "shims"   // a shim at each valve
	Pairs   = "pairs"   // a part in each bore
	Rings   = "rings"   // gaps filed in each bore
	Sets    = "sets"    // parts put together by mass
	Springs = "springs" // a spring and what is laid under it
	Gasket  = "gasket"  // one for the engine, of the family's menu
)

// Fit is one choice over the whole engine.
type Fit struct {
	ID     string          `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Kind   string          `json:"kind" jsonschema:"enum=shells,enum=shims,enum=pairs,enum=rings,enum=sets,enum=springs,enum=gasket"`
	Name   words.Text      `json:"name"`
	Fit    string          `json:"fit" jsonschema:"description=characteristic that the choice settles; an engine without it has no such choice"`
	With   string          `json:"with,omitempty" jsonschema:"description=the other characteristic: the shim that was measured, the bore of a ring, the other mass"`
	Part   string          `json:"part" jsonschema:"description=kind of part, as lots on the shelf name it"`
	Group  string          `json:"group,omitempty" jsonschema:"enum=bore,enum=main,enum=pin,description=group whose step the parts have to be made for"`
	Apart  int             `json:"apart,omitempty" jsonschema:"minimum=0,maximum=5,description=most classes apart in one housing"`
	Reuse  bool            `json:"reuse,omitempty" jsonschema:"description=parts of this engine may go in again"`
	Step   unit.Quantity   `json:"step,omitzero" dim:"length" jsonschema:"description=step of the ladder in which shims can be bought"`
	Made   unit.Quantity   `json:"made,omitzero" dim:"length" jsonschema:"description=standard uncertainty of a part as delivered, where nobody measured it"`
	Ratio  unit.Quantity   `json:"ratio_doubt,omitzero" dim:"number" jsonschema:"description=standard uncertainty of a lash ratio other than 1"`
	Spare  unit.Quantity   `json:"spare,omitzero" dim:"length" jsonschema:"description=travel that a spring keeps before its coils touch"`
	Under  []unit.Quantity `json:"under,omitempty" dim:"length" jsonschema:"description=shims that can be laid under a spring"`
	Source cite.Key        `json:"source"`
	Status cite.Status     `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Use is what an engine is for, as far as the gaps of its rings go: the gap over
// the bore, and how much warmer than at the bench ring and bore become.
type Use struct {
	ID       string        `json:"id" jsonschema:"pattern=^[a-z0-9]+(-[a-z0-9]+)*$"`
	Name     words.Text    `json:"name"`
	Top      unit.Quantity `json:"top" dim:"number"`
	Second   unit.Quantity `json:"second" dim:"number"`
	RingRise int           `json:"ring_rise_kelvin" jsonschema:"minimum=0,maximum=600"`
	BoreRise int           `json:"bore_rise_kelvin" jsonschema:"minimum=0,maximum=400"`
	Source   cite.Key      `json:"source"`
	Status   cite.Status   `json:"status" jsonschema:"enum=manual in hand,enum=copied table,enum=common practice,enum=from memory,enum=invented for the demo"`
}

// Catalogue is the file in the form in which it is asked.
type Catalogue struct{ File }

// Known says what the rest of the knowledge has.
type Known struct {
	Source    func(id string) bool
	Finding   func(id string) (finding.Finding, bool)
	Operation func(id string) bool
}

// Read parses the file and checks what a schema cannot say.
func Read(name string, text []byte, known Known) (*Catalogue, fault.List) {
	f, doc, faults := file.Read[File](name, text, file.Compile(file.Schema(&File{}, name, name)))
	if len(faults) > 0 {
		return &Catalogue{}, faults
	}
	l := &lint{doc: doc, known: known, seen: map[string]bool{}}
	uses := map[string]bool{}
	for i, u := range f.Uses {
		at := "uses[" + strconv.Itoa(i) + "]"
		l.once(at, "use "+u.ID)
		l.cited(at, u.Source)
		uses[u.ID] = true
	}
	for i, r := range f.Routes {
		l.route("routes["+strconv.Itoa(i)+"]", r, uses)
	}
	for i, o := range f.Always {
		if !known.Operation(o) {
			l.say("always["+strconv.Itoa(i)+"]", "route.unknown-operation", "found", o)
		}
	}
	for i, x := range f.Fits {
		at := "fits[" + strconv.Itoa(i) + "]"
		l.once(at, "fit "+x.ID)
		l.cited(at, x.Source)
		if needs := slices.Contains([]string{Shims, Rings, Sets}, x.Kind); needs && x.With == "" {
			l.say(at, "route.with", "found", x.ID)
		}
	}
	l.faults.Sort()
	return &Catalogue{f}, l.faults
}

type lint struct {
	doc    *file.Doc
	known  Known
	seen   map[string]bool
	faults fault.List
}

func (l *lint) say(path, key string, pairs ...string) {
	l.faults = append(l.faults, l.doc.Fault(path, key, pairs...))
}

func (l *lint) once(at, id string) {
	if l.seen[id] {
		l.say(at+".id", "family.duplicate", "found", id)
	}
	l.seen[id] = true
}

func (l *lint) cited(at string, key cite.Key) {
	if !l.known.Source(string(key)) {
		l.say(at+".source", "family.unknown-source", "found", string(key))
	}
}

var outcomes = []string{"reuse", "reuse-with-note", "rework", "replace", "upgrade", "hold", "reject"}

func (l *lint) route(at string, r Route, uses map[string]bool) {
	l.once(at, "route "+r.ID)
	l.cited(at, r.Source)
	if !uses[r.Use] {
		l.say(at+".use", "route.unknown-use", "found", r.Use)
	}
	check := func(at string, list []string) {
		for i, o := range list {
			if !slices.Contains(outcomes, o) {
				l.say(at+"["+strconv.Itoa(i)+"]", "route.unknown-outcome", "found", o)
			}
		}
	}
	for name, list := range map[string][]string{"act": r.Prefer.Act, "watch": r.Prefer.Watch, "note": r.Prefer.Note, "doubt": r.Prefer.Doubt} {
		check(at+".prefer."+name, list)
	}
	for i, e := range r.Except {
		here := at + ".except[" + strconv.Itoa(i) + "]"
		check(here+".prefer", e.Prefer)
		f, ok := l.known.Finding(e.Finding)
		if !ok {
			l.say(here+".finding", "route.unknown-finding", "found", e.Finding)
			continue
		}
		if !slices.ContainsFunc(f.Options, func(o finding.Option) bool { return o.Outcome == e.Prefer[0] }) {
			l.say(here+".prefer", "route.no-option", "finding", e.Finding, "outcome", e.Prefer[0])
		}
	}
}

// Route finds one by its id.
func (c *Catalogue) Route(id string) (Route, bool) {
	for _, r := range c.Routes {
		if r.ID == id {
			return r, true
		}
	}
	return Route{}, false
}

// Use finds one by its id.
func (c *Catalogue) Use(id string) (Use, bool) {
	for _, u := range c.Uses {
		if u.ID == id {
			return u, true
		}
	}
	return Use{}, false
}

// Names lists the ids of the routes in the order of the file.
func (c *Catalogue) Names() []string {
	var out []string
	for _, r := range c.Routes {
		out = append(out, r.ID)
	}
	return out
}

// Order is what a route takes first about a finding, by its severity, or by
// doubt where nothing is proved.
func (r Route) Order(id string, severity finding.Severity, doubt bool) []string {
	for _, e := range r.Except {
		if e.Finding == id && !doubt {
			return e.Prefer
		}
	}
	switch {
	case doubt:
		return r.Prefer.Doubt
	case severity == finding.Act:
		return r.Prefer.Act
	case severity == finding.Watch:
		return r.Prefer.Watch
	}
	return r.Prefer.Note
}
