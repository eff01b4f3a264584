package view

import (
	"sort"
	"strconv"
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/judge/gate"
	"fettle/internal/know/cleaning"
	"fettle/internal/know/family"
	"fettle/internal/show/draw"
	"fettle/internal/show/plot"
)

// Clean is the page of cleaning and testing: all components, or one.
type Clean struct {
	Frame
	Step
	Rows    []CleanRow
	Part    *CleanPart // nil on the list
	Asked   []Early
	Defer   string
	Results []Choice
}

// CleanRow is one component in the list.
type CleanRow struct {
	Link
	Material string
	Cleaned  string
	Tested   string
	Wanting  string
	Held     string
}

// Early is a component that was measured before it was cleared.
type Early struct {
	Part, Text string
	Gate       string
	Act        string
	Shut       bool
	Passed     string
}

// CleanPart is one component.
type CleanPart struct {
	ID, Name, Material string
	Drawing            Drawing
	Recipes            []Recipe
	Processes          []Choice
	Parts              []Choice
	Checks             []Choice
	Photo              string // address at which a photo is added
	Cautions           []Link
	Done               []Noted
	Tests              []TestLine
	Methods            []Choice
	Wanting, Why       string
	Held               string
}

// Recipe is how its material takes one process.
type Recipe struct {
	Process, Fit, Word, Why, Status string
	Tags                            bool
	Caution                         Link
}

// TestLine is one test as it was done.
type TestLine struct {
	Part, Method, Result, Word string
	By, When, Note, After      string
	Marks                      []string // "1: zone C5, two lines"
}

// CleanPage makes the list of components.
func (c *Case) CleanPage(r Reader, s Step) Clean {
	v := Clean{Frame: c.frame(r, r.T("page.clean.title"), "intake", "", job.Found), Step: s}
	v.Under = c.Assessment.Title
	clear := c.clearings()
	for i := range c.Layout.Family.Components {
		k := &c.Layout.Family.Components[i]
		if !c.Job.InScope(k.System) || len(c.partsOf(k.ID)) == 0 {
			continue
		}
		row := CleanRow{Link: Link{Href: JobHref(c.id(), "clean", k.ID), Text: k.Name.In(r.Lang)}, Material: c.materialName(r, k.Material)}
		done := map[string]bool{}
		for _, d := range c.Job.Cleanings {
			if componentOf(d.Part) == k.ID {
				done[c.process(r, d.Process)] = true
			}
		}
		row.Cleaned = strings.Join(namesIn(done), ", ")
		var tests []string
		for j := range c.Job.Tests {
			if t := &c.Job.Tests[j]; componentOf(t.Part) == k.ID {
				tests = append(tests, c.method(r, t.Method)+": "+r.T("page.test."+t.Result))
			}
		}
		row.Tested = strings.Join(dedupeText(tests), "; ")
		if g := clear[k.ID]; g != nil {
			row.Wanting = c.wanting(r, g)
			if e, ok := c.early(r, g); ok {
				v.Asked = append(v.Asked, e)
			}
		}
		if h := c.Job.Held(k.ID); h != nil {
			row.Held = r.T("page.clean.held", "why", h.Hold.Why)
		}
		v.Rows = append(v.Rows, row)
	}
	v.Asked = append(v.Asked, c.machined(r, "")...)
	return v
}

// CleanPartPage makes the page of one component; ok is false where the engine
// has none of that name.
func (c *Case) CleanPartPage(r Reader, component string, s Step) (v Clean, ok bool) {
	k := c.Layout.Component(component)
	if k == nil || len(c.partsOf(component)) == 0 {
		return v, false
	}
	v = Clean{Frame: c.frame(r, r.T("page.clean.of", "part", k.Name.In(r.Lang)), "intake", component, job.Found), Step: s}
	v.Under = c.Assessment.Title
	p := &CleanPart{ID: k.ID, Name: k.Name.In(r.Lang), Material: c.materialName(r, k.Material), Photo: c.photoHref(k.ID)}
	for _, part := range c.partsOf(component) {
		p.Parts = append(p.Parts, Choice{part, c.Part(r, part), s.Typed["part"] == part})
	}
	if len(p.Parts) > 1 {
		p.Parts = append([]Choice{{k.ID, r.T("page.clean.all"), s.Typed["part"] == ""}}, p.Parts...)
	}
	for _, x := range c.Library.Cleaning.Processes {
		rec, known := c.Library.Recipe(x.ID, k.Material)
		if !known {
			continue
		}
		p.Recipes = append(p.Recipes, Recipe{Process: x.Name.In(r.Lang), Fit: string(rec.Fit), Word: r.T("page.clean.fit." + string(rec.Fit)),
			Why: rec.Why.In(r.Lang), Status: c.status(r, string(rec.Status)), Tags: x.Tags, Caution: c.cautionLink(r, x.Caution)})
		name := x.Name.In(r.Lang)
		if rec.Fit != cleaning.Fits {
			name += " (" + r.T("page.clean.fit."+string(rec.Fit)) + ")"
		}
		p.Processes = append(p.Processes, Choice{x.ID, name, s.Typed["process"] == x.ID})
	}
	for _, x := range c.Library.Cleaning.Checks {
		for _, of := range x.Of {
			if of == k.ID {
				p.Checks = append(p.Checks, Choice{x.ID, x.Name.In(r.Lang), false})
			}
		}
	}
	c.cleaned(r, p)
	c.tested(r, k, p)
	if h := c.Job.Held(k.ID); h != nil {
		p.Held = r.T("page.clean.held", "why", h.Hold.Why)
	}
	for _, x := range c.Library.Strip.Method {
		p.Methods = append(p.Methods, Choice{x.ID, x.Name.In(r.Lang), s.Typed["method"] == x.ID})
		p.Cautions = append(p.Cautions, c.cautionLink(r, x.Caution))
	}
	for _, x := range job.Results() {
		v.Results = append(v.Results, Choice{x, r.T("page.test." + x), s.Typed["result"] == x})
	}
	if g := c.clearings()[k.ID]; g != nil {
		p.Wanting, p.Why = c.wanting(r, g), g.Clear.Why.In(r.Lang)
		if e, ok := c.early(r, g); ok {
			v.Asked = append(v.Asked, e)
		}
	}
	v.Asked = append(v.Asked, c.machined(r, k.ID)...)
	v.Part = p
	return v, true
}

func (c *Case) cleaned(r Reader, p *CleanPart) {
	for _, d := range c.Job.Cleanings {
		if componentOf(d.Part) != p.ID {
			continue
		}
		var checks []string
		for _, id := range d.Checks {
			for _, x := range c.Library.Cleaning.Checks {
				if x.ID == id {
					checks = append(checks, x.Name.In(r.Lang))
				}
			}
		}
		small := strings.Join(checks, "; ")
		if d.Note != "" {
			small = strings.TrimPrefix(small+" · "+d.Note, " · ")
		}
		p.Done = append(p.Done, Noted{Text: c.Part(r, d.Part) + ": " + c.process(r, d.Process), Small: small, Who: c.person(d.Person), When: r.Day(d.Time)})
	}
}

// tested lists the tests of a component and pins their indications on its
// drawing.
func (c *Case) tested(r Reader, k *family.Component, p *CleanPart) {
	var pins []pin
	for i := range c.Job.Tests {
		t := &c.Job.Tests[i]
		if componentOf(t.Part) != k.ID {
			continue
		}
		line := c.testLine(r, t)
		for n, m := range t.Indications {
			pins = append(pins, pin{m, strconv.Itoa(len(pins) + 1)})
			line.Marks = append(line.Marks, strconv.Itoa(len(pins))+": "+c.mark(r, t, n))
		}
		p.Tests = append(p.Tests, line)
	}
	p.Drawing = c.tacked(r, k.ID, pins)
}

func (c *Case) testLine(r Reader, t *job.Tested) TestLine {
	line := TestLine{Part: c.Part(r, t.Part), Method: c.method(r, t.Method), Result: t.Result, Word: r.T("page.test." + t.Result),
		By: c.person(t.Person), When: r.Day(t.Time), Note: t.Note}
	if t.By != "" {
		line.By = t.By + " (" + line.By + ")"
	}
	for _, x := range c.Library.Strip.Method {
		if x.ID == t.Method {
			line.After = x.After.In(r.Lang)
		}
	}
	return line
}

// mark says where an indication is and what it looks like.
func (c *Case) mark(r Reader, t *job.Tested, n int) string {
	m := t.Indications[n]
	where := c.Part(r, m.At)
	if c.place(m.At) != nil {
		where = c.Place(r, m.At)
	}
	if z := job.ZoneOf(m.X, m.Y); z != "" {
		where = r.T("page.test.zone", "zone", z)
	}
	return where + ", " + m.Says
}

// pin is an indication with its number.
type pin struct {
	job.IndicationV1
	name string
}

// tacked draws a component in its zones (ISO 5457), with the pins on it.
func (c *Case) tacked(r Reader, component string, pins []pin) Drawing {
	opt := draw.Options{Figure: r.Num}
	w, h := draw.Size(c.Layout, component, opt)
	if w == 0 || h == 0 {
		return ""
	}
	label := r.T("page.drawing.part", "part", c.Part(r, component))
	for _, p := range pins {
		label += "; " + p.name + " " + p.Says
	}
	return Drawing(plot.Inline(w, h, label, func(cv plot.Canvas) {
		draw.Part(cv, c.Layout, component, nil, opt)
		zones(cv, w, h)
		for _, p := range pins {
			if at, ok := c.seat(component, p, w, h, opt); ok {
				tack(cv, at, p.name)
			}
		}
	}))
}

// zones draws the border of the sheet with its letters and figures.
func zones(cv plot.Canvas, w, h float64) {
	const in, tick = 8.0, 5.0
	rows := len(job.ZoneRows)
	thin := plot.Style{Stroke: plot.InkThin, Line: plot.Hair}
	cv.Rect(0.5, 0.5, w-1, h-1, thin)
	name := func(s string, x, y float64) {
		cv.Text(plot.Pt(x, y), plot.Text{S: s, Size: plot.SizeSmall, Anchor: plot.Middle, Base: plot.CapMiddle, Ink: plot.InkThin, Halo: true})
	}
	for i := range job.ZoneColumns {
		x := w * float64(i) / job.ZoneColumns
		cv.Line(plot.Pt(x, 0), plot.Pt(x, tick), thin)
		cv.Line(plot.Pt(x, h-tick), plot.Pt(x, h), thin)
		name(strconv.Itoa(i+1), x+w/job.ZoneColumns/2, in)
	}
	for i := range rows {
		y := h * float64(i) / float64(rows)
		cv.Line(plot.Pt(0, y), plot.Pt(tick, y), thin)
		cv.Line(plot.Pt(w-tick, y), plot.Pt(w, y), thin)
		name(job.ZoneRows[i:i+1], in, y+h/float64(rows)/2)
	}
}

// tack draws one pin: a square on its corner round the spot, its number beside.
func tack(cv plot.Canvas, at plot.Point, name string) {
	const d = 9.0
	cv.Path(plot.Polyline(plot.Pt(at.X, at.Y-d), plot.Pt(at.X+d, at.Y), plot.Pt(at.X, at.Y+d), plot.Pt(at.X-d, at.Y), plot.Pt(at.X, at.Y-d)),
		plot.Style{Stroke: plot.InkOut, Line: plot.Heavy})
	cv.Text(plot.Pt(at.X+d+3, at.Y), plot.Text{S: name, Size: plot.SizeText, Weight: plot.Bold, Base: plot.CapMiddle, Ink: plot.InkOut, Halo: true})
}

// seat is where an indication lies on the drawing of its component.
func (c *Case) seat(component string, p pin, w, h float64, opt draw.Options) (plot.Point, bool) {
	if x, y, ok := job.Spot(p.X, p.Y); ok {
		return plot.Pt(x*w, y*h), true
	}
	marks := draw.Marks{}
	for i := range c.Layout.Places {
		if q := &c.Layout.Places[i]; q.ID == p.At || q.Part == p.At || componentOf(q.ID) == p.At {
			marks[q.ID] = draw.Mark{}
		}
	}
	if spots := draw.Spots(c.Layout, component, marks, opt); len(spots) > 0 {
		return spots[0].At, true
	}
	return plot.Point{}, false
}

// clearings are the components that are tested before they are measured.
func (c *Case) clearings() map[string]*gate.Clearing {
	out := map[string]*gate.Clearing{}
	list := gate.Clearings(&c.Library.Strip, c.Layout, c.Job)
	for i := range list {
		out[list[i].Clear.Component] = &list[i]
	}
	return out
}

func (c *Case) wanting(r Reader, g *gate.Clearing) string {
	var names []string
	for _, m := range g.Wanting {
		names = append(names, c.method(r, m))
	}
	if g.Rejected {
		names = append(names, r.T("page.clean.rejected"))
	}
	return strings.Join(names, ", ")
}

// early says that somebody measured before the part was cleared.
func (c *Case) early(r Reader, g *gate.Clearing) (e Early, ok bool) {
	if g.Early == 0 {
		return e, false
	}
	id := g.Clear.Component
	e = Early{Part: id, Gate: gate.Cleared, Text: r.N("page.clean.early", g.Early, "part", c.Part(r, id)), Act: "override-" + id, Shut: g.Shut()}
	if g.Passed != nil {
		e.Passed = r.T("page.strip.passed", "who", c.person(g.Passed.Person), "when", r.Day(g.Passed.Time), "reason", g.Passed.Reason)
	}
	return e, true
}

// machined lists the components that were worked on while they were held; id
// "" takes all.
func (c *Case) machined(r Reader, id string) (out []Early) {
	for _, m := range gate.Machineds(c.Layout, c.Job) {
		if id != "" && id != m.Component {
			continue
		}
		e := Early{Part: m.Component, Gate: gate.Hold, Text: r.T("page.clean.machined", "part", c.Part(r, m.Component)), Act: "override-hold-" + m.Component, Shut: m.Passed == nil}
		if m.Passed != nil {
			e.Passed = r.T("page.strip.passed", "who", c.person(m.Passed.Person), "when", r.Day(m.Passed.Time), "reason", m.Passed.Reason)
		}
		out = append(out, e)
	}
	return out
}

// Uncleared says of a component that it is not cleared for measuring, "" where
// it is.
func (c *Case) Uncleared(r Reader, component string) string {
	g := c.clearings()[component]
	if g == nil || g.IsClear() {
		return ""
	}
	return r.T("page.clean.uncleared", "what", c.wanting(r, g))
}

func (c *Case) partsOf(component string) (out []string) {
	for _, p := range c.Layout.Parts() {
		if componentOf(p) == component {
			out = append(out, p)
		}
	}
	return out
}

func (c *Case) materialName(r Reader, id string) string {
	if m, ok := c.Library.Materials[id]; ok {
		return m.Name.In(r.Lang)
	}
	return id
}

func (c *Case) process(r Reader, id string) string {
	for _, p := range c.Library.Cleaning.Processes {
		if p.ID == id {
			return p.Name.In(r.Lang)
		}
	}
	return id
}

func (c *Case) method(r Reader, id string) string {
	for _, m := range c.Library.Strip.Method {
		if m.ID == id {
			return m.Name.In(r.Lang)
		}
	}
	return id
}

func namesIn(m map[string]bool) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

func dedupeText(list []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, s := range list {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}
