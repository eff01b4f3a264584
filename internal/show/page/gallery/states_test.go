package gallery

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/plan"
	"fettle/internal/know/family"
	"fettle/internal/show/page"
	"fettle/internal/show/view"
)

// state is one page in one state.
type state struct {
	name  string
	lang  string
	write func(io.Writer) error
}

// states makes every page in every state, in both languages and grounds.
func states(t testing.TB) []state {
	t.Helper()
	s := newShelf(t)
	pages, err := page.New(s.lib.Words)
	if err != nil {
		t.Fatal(err)
	}
	en := view.Reader{Lang: "en", Mark: '.', Book: s.lib.Book("en")}
	de := view.Reader{Lang: "de", Mark: ',', Theme: "blueprint", Book: s.lib.Book("de")}
	g := &gallery{t: t, s: s, p: pages}
	g.fixed(en)
	g.jobs(en)
	first := g.demo("2026-014")
	g.of("demo", en, first)
	g.of("demo-de", de, first)
	g.of("second", en, g.demo("2026-021"))
	g.of("empty", en, g.empty("brae-05-1"))
	g.of("worst-de", de, g.worst("tarn-32-6"))
	g.of("sixteen", en, g.sixteen())
	g.forms(en, de, first)
	g.drafts(en, de, first)
	g.arrivals(en, de, first)
	g.works(en, de, first)
	g.traded(en, de, first)
	g.gauges(en, de)
	g.stocks(en, de)
	g.door(t, en, de)
	g.signed(en, de, first)
	return g.list
}

type gallery struct {
	t    testing.TB
	s    *shelf
	p    *page.Pages
	list []state
}

func (g *gallery) add(name, lang string, write func(io.Writer) error) {
	g.list = append(g.list, state{name, lang, write})
}

// fixed are the pages that hang on no job.
func (g *gallery) fixed(r view.Reader) {
	legend, cautions, settings := r.Legend(), r.Cautions(g.s.lib), r.Settings("/")
	g.add("legend", "en", func(w io.Writer) error { return g.p.Legend(w, legend) })
	g.add("cautions", "en", func(w io.Writer) error { return g.p.Cautions(w, cautions) })
	g.add("reader", "en", func(w io.Writer) error { return g.p.Settings(w, settings) })
	for id, l := range g.s.lib.Families {
		v := r.FamilyPage(l, g.s.lib, sketch())
		g.add("family-"+id, "en", func(w io.Writer) error { return g.p.Family(w, v) })
	}
	problem := r.Problem(r.T("page.problem.missing"), []string{r.T("page.problem.missing.text", "path", "/job/none")})
	g.add("problem", "en", func(w io.Writer) error { return g.p.Problem(w, problem) })
	opening := r.OpenPage(g.s.lib, []string{"brae-05-1"}, shop.Replay(nil), view.Opening{Job: "a b"}, map[string]string{"job": r.T("bench.bad-job", "found", "a b")})
	g.add("open", "en", func(w io.Writer) error { return g.p.Open(w, opening) })
}

// jobs are the lists of jobs: none, and many.
func (g *gallery) jobs(r view.Reader) {
	none := r.Shop(nil)
	g.add("shop-empty", "en", func(w io.Writer) error { return g.p.Shop(w, none) })
	var many []view.Entered
	for i := range 40 {
		e := view.Entered{Job: fmt.Sprintf("2026-%03d", i+1), Title: "An engine with a title that is as long as people make them", Family: "tarn-32-6",
			Counts: view.Counts{Accept: 1000 + i, Undecided: i % 3, Reject: i % 5, Unmeasured: 1234 * (i % 2)}, Findings: i % 7, Open: i % 4,
			Last: when() - int64(i)*864e8, Readings: 1200, Invented: true}
		if i == 3 {
			e.Problem = r.T("bench.no-family", "family", "lost-1")
		}
		many = append(many, e)
	}
	list := r.Shop(many)
	g.add("shop-many", "en", func(w io.Writer) error { return g.p.Shop(w, list) })
	form := r.ImportPage(many[:3], many[0].Job)
	g.add("import", "en", func(w io.Writer) error { return g.p.Import(w, form) })
	bad := r.ImportPage(many[:3], "")
	bad.Tell(r, fault.List{fault.New(fault.Invalid, "readings.encoding").At("bench.csv", 3, 14), fault.New(fault.Invalid, "readings.no-decimal").At("bench.csv", 1, 1)})
	g.add("import-faults", "en", func(w io.Writer) error { return g.p.Import(w, bad) })
}

func (g *gallery) demo(id string) *view.Case {
	j, sh := g.s.demo(g.t, id)
	return g.s.judge(g.t, g.s.lib.Families[j.Family], j, sh)
}

func (g *gallery) empty(id string) *view.Case {
	l := g.s.lib.Families[id]
	return g.s.judge(g.t, l, newLog(g.t, l, "empty-1", "Nothing measured yet").state(), shop.Replay(nil))
}

// worst puts every measured value far outside its limit, fails every check and
// adds an entry of a kind nobody knows.
func (g *gallery) worst(id string) *view.Case {
	l := g.s.lib.Families[id]
	return g.s.judge(g.t, l, g.bad(l, "worst-1"), shop.Replay(nil))
}

func (g *gallery) bad(l *family.Layout, id string) *job.State {
	log := newLog(g.t, l, id, "Everything that can be wrong is wrong on this one, and its title does not end")
	for i := range l.Places {
		p := &l.Places[i]
		if p.Char.Relation != "" {
			continue
		}
		r := job.ReadingV1{Position: p.ID, State: job.Found, Typed: "fail", Value: "fail", Condition: p.Char.Condition}
		lim := p.Used
		if lim == nil {
			lim = p.New
		}
		switch {
		case p.Char.Quantity == family.Check:
		case lim != nil && !lim.Max.IsZero():
			r.Value, r.Unit = "9"+lim.Max.Text, lim.Max.Unit
			r.Typed = r.Value + " " + r.Unit
		case lim != nil && !lim.Min.IsZero():
			r.Value, r.Unit = "0.001", lim.Min.Unit
			r.Typed = r.Value + " " + r.Unit
		default:
			continue
		}
		log.add(entry.Reading, r)
	}
	log.add("something of a later release", map[string]string{"what": "unknown"})
	return log.state()
}

// sixteen is a sixteen with five valves a cylinder, made from the eight.
func (g *gallery) sixteen() *view.Case {
	text := string(g.s.files["family/skerry-40-8.yaml"])
	for _, w := range [][2]string{{"id: skerry-40-8", "id: sixteen"}, {"cylinders: 8", "cylinders: 16"}, {"mains: 5", "mains: 9"},
		{"banks: [[1, 2, 3, 4], [5, 6, 7, 8]]", "banks: [[1, 2, 3, 4, 5, 6, 7, 8], [9, 10, 11, 12, 13, 14, 15, 16]]"},
		{"firing_order: [1, 5, 4, 8, 6, 3, 7, 2]", "firing_order: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16]"},
		{"inlet: 1, exhaust: 1,", "inlet: 3, exhaust: 2,"}} {
		if !strings.Contains(text, w[0]) {
			g.t.Fatalf("the family of eight no longer says %q", w[0])
		}
		text = strings.Replace(text, w[0], w[1], 1)
	}
	l, faults := g.s.lib.Family("family/sixteen.yaml", []byte(text))
	if len(faults) > 0 {
		g.t.Fatalf("sixteen cylinders: %v", faults[0])
	}
	return g.s.judge(g.t, l, g.bad(l, "sixteen-1"), shop.Replay(nil))
}

// of makes every page of one job.
func (g *gallery) of(name string, r view.Reader, c *view.Case) {
	lang := r.Lang
	front := c.JobPage(r)
	g.add(name+"-job", lang, func(w io.Writer) error { return g.p.Job(w, front) })
	findings, questions, targets, log := c.FindingsPage(r, c.StepOf(r, "00112233445566778899aabbccddeeff", "", "findings")), c.QuestionsPage(r), c.TargetsPage(r), c.LogPage(r, 0)
	g.add(name+"-findings", lang, func(w io.Writer) error { return g.p.Findings(w, findings) })
	g.add(name+"-questions", lang, func(w io.Writer) error { return g.p.Questions(w, questions) })
	g.add(name+"-targets", lang, func(w io.Writer) error { return g.p.Targets(w, targets) })
	g.add(name+"-log", lang, func(w io.Writer) error { return g.p.Log(w, log) })
	for _, route := range c.Library.Routes().Names() {
		p, err := plan.Make(plan.Input{Knowledge: assess.Knowledge{Library: c.Library, Layout: c.Layout}, Facts: assess.Facts{Job: c.Job, Shop: c.Shop}, Assessment: c.Assessment, Route: route})
		if err != nil {
			g.t.Fatal(err)
		}
		v := c.PlanPage(r, p, view.Asked{Route: route}, "")
		g.add(name+"-plan-"+route, lang, func(w io.Writer) error { return g.p.Plan(w, v) })
	}
	causes := c.CausesPage(r)
	g.add(name+"-causes", lang, func(w io.Writer) error { return g.p.Causes(w, causes) })
	for i := range c.Layout.Family.Components {
		id := c.Layout.Family.Components[i].ID
		if v, ok := c.PartPage(r, id, "", c.SeenFormFor(r, id, strings.Repeat("0", 31)+"4", view.Noticed{}, nil)); ok {
			g.add(name+"-part-"+id, lang, func(w io.Writer) error { return g.p.Part(w, v) })
		}
	}
	for _, p := range c.BenchParts(r, job.Found) {
		if v, ok := c.BenchPage(r, p.ID, "p-1", job.Found, "0"); ok && (p.ID == "block" || p.ID == "valve" || p.ID == "head-bolt" || p.ID == "oil-pump") {
			g.add(name+"-bench-"+p.ID, lang, func(w io.Writer) error { return g.p.Bench(w, v) })
		}
	}
	seen := map[string]bool{}
	for i := range c.Assessment.Values {
		v := &c.Assessment.Values[i]
		kind := string(v.Verdict)
		if v.Derived {
			kind += "-derived"
		}
		if v.Check {
			kind += "-check"
		}
		if v.Act != nil {
			kind += "-act"
		}
		if !seen[kind] {
			seen[kind] = true
			g.at(name+"-at-"+kind, r, c, v.Position, v.State, view.Typed{Fresh: true}, nil)
		}
	}
	if len(c.Assessment.Questions) > 0 {
		q := c.Assessment.Questions[0]
		g.at(name+"-at-question", r, c, q.Position, q.State, view.Typed{Fresh: true}, nil)
	}
}

func (g *gallery) at(name string, r view.Reader, c *view.Case, position, st string, typed view.Typed, faults map[string][]string) {
	v, ok := c.AtPage(r, position, st, c.FormFor(r, position, strings.Repeat("0", 31)+"1", typed, faults))
	if !ok {
		g.t.Fatalf("no page for %s", position)
	}
	g.add(name, r.Lang, func(w io.Writer) error { return g.p.At(w, v) })
}

// forms are the pages with something typed, stored, struck out or refused.
func (g *gallery) forms(en, de view.Reader, c *view.Case) {
	var live, gone *job.Reading
	for i := range c.Job.Readings {
		rd := &c.Job.Readings[i]
		if !rd.Counts() && gone == nil {
			gone = rd
		}
		if rd.Counts() && rd.Unit != "" && live == nil {
			live = rd
		}
	}
	if live == nil || gone == nil {
		g.t.Fatal("the demo holds no live or no corrected reading")
	}
	g.at("at-corrected", en, c, gone.Position, gone.State, view.Typed{Fresh: true}, nil)
	typed := view.Typed{Value: "83,01.2", Unit: "mm", PartTemp: "200", Note: "burr at the edge"}
	g.at("at-refused-de", de, c, live.Position, live.State, typed, map[string][]string{
		"value":     {de.T("unit.two-marks", "text", "83,01.2", "mark", ",")},
		"part_temp": {de.T("bench.temperature", "found", "200 °C", "least", "-20", "most", "80")}, "person": {de.T("bench.no-person")}})
	stored, _ := c.AtPage(en, live.Position, live.State, c.FormFor(en, live.Position, strings.Repeat("0", 31)+"2", view.Typed{}, nil))
	stored.Notice = c.Stored(en, live.Seq, string(assess.Undecided))
	if stored.Notice == "" {
		g.t.Fatal("nothing is said of a stored reading")
	}
	g.add("at-stored", "en", func(w io.Writer) error { return g.p.At(w, stored) })
	for _, withdraw := range []bool{false, true} {
		_, t, _ := c.TypedFrom(en, live.Key)
		v, ok := c.AmendPage(en, live.Key, withdraw, c.FormFor(en, live.Position, strings.Repeat("0", 31)+"3", t, map[string][]string{"reason": {en.T("bench.no-reason")}}))
		if !ok {
			g.t.Fatal("no page to amend a reading")
		}
		g.add(fmt.Sprintf("amend-withdraw-%v", withdraw), "en", func(w io.Writer) error { return g.p.Amend(w, v) })
	}
	g.seeing(en, de, c)
	g.pictures(en, de)
	sheet := readings.Sheet{Job: c.Assessment.Job, Decimal: readings.Comma, Delimiter: readings.Semicolon}
	for i := range c.Job.Readings[:80] {
		rd := &c.Job.Readings[i]
		sheet.Readings = append(sheet.Readings, readings.Row{ReadingV1: rd.ReadingV1, Person: rd.Person, Time: rd.Time, Line: i + 9})
	}
	v := en.ImportPage(nil, c.Assessment.Job)
	v.Show(en, c, sheet, "bench.csv", string(readings.Write(sheet)))
	g.add("import-preview", "en", func(w io.Writer) error { return g.p.Import(w, v) })
	done := en.ImportPage(nil, "")
	done.Done(en, c.Assessment.Job, 80)
	g.add("import-done", "en", func(w io.Writer) error { return g.p.Import(w, done) })
}

// render writes a state into memory.
func (s state) render(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := s.write(&b); err != nil {
		t.Fatalf("%s: %v", s.name, err)
	}
	return b.Bytes()
}
