package gallery

import (
	"fmt"
	"io"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/gauge"
	"fettle/internal/know/library"
	"fettle/internal/know/revise"
	"fettle/internal/know/source"
	"fettle/internal/show/view"
)

// drafts are the pages on which a family is made from a near one.
func (g *gallery) drafts(en, de view.Reader, c *view.Case) {
	start := en.RevisePage(g.s.lib, view.Starting{}, nil, nil)
	g.add("revise", "en", func(w io.Writer) error { return g.p.Revise(w, start) })
	none := g.making("corran-24-5", nil)
	some := g.making("corran-24-5", g.someChanges())
	all := g.making("skerry-40-8", g.allChanges("skerry-40-8"))
	wrong := g.making("corran-24-5", []revise.Change{{Path: "engine.rod", Old: "144.000 mm", New: "30.000 mm"}, {Path: "engine.bore_spacing", Old: "88.500 mm", New: "80.000 mm"},
		{Path: "engine.cylinders", Old: "5", New: "6"}})
	if none.Layout == nil || some.Layout == nil || all.Layout == nil || wrong.Layout != nil {
		g.t.Fatalf("the drafts are not what they should be: %v %v %v", none.Faults, some.Faults, all.Faults)
	}
	faulty := de.RevisePage(g.s.lib, view.Starting{Base: "tarn-32-6", ID: "A b", Name: "Ein Motor mit einem Namen, der länger ist als jede Zeile", Revision: true},
		[]view.Making{some, none}, map[string]string{"id": de.T("revise.bad-id", "found", "A b"), "name": de.T("bench.no-name")})
	g.add("revise-refused-de", "de", func(w io.Writer) error { return g.p.Revise(w, faulty) })
	_, sh := g.s.demo(g.t, "2026-014")
	for name, m := range map[string]*view.Making{"none": &none, "some": &some, "all": &all, "wrong": &wrong} {
		for _, r := range []view.Reader{en, de} {
			v := r.DraftPage(m, sh, "", nil)
			g.add("draft-"+name+"-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Draft(w, v) })
		}
	}
	moved := some
	moved.Moved = true
	late := en.DraftPage(&moved, shop.Replay(nil), "", map[string]string{"id": en.T("bench.old-base", "found", "aa", "holds", "bb"), "person": en.T("bench.no-person")})
	g.add("draft-moved", "en", func(w io.Writer) error { return g.p.Draft(w, late) })
	for name, m := range map[string]*view.Making{"some": &some, "all": &all} {
		for _, r := range []view.Reader{en, de} {
			for _, comp := range []string{"", "block", "head", "valvetrain"} {
				v, ok := r.DraftSheetPage(m, comp, nil, nil)
				if !ok {
					g.t.Fatalf("no sheet for %q", comp)
				}
				g.add(fmt.Sprintf("draftsheet-%s-%s-%s", name, orEngine(comp), r.Lang), r.Lang, func(w io.Writer) error { return g.p.DraftSheet(w, v) })
			}
		}
	}
	typed := &view.TypedDraft{Fields: map[string]string{"block/bore.limits[1].max": "83,1.2", "block/bore.limits[1].min": "82,995", "block/bore.limits[0].drop": "yes",
		"block/bore-unworn.nominal": "1e3"}, From: "+", Source: source.Source{Title: "Werkstatthandbuch"}}
	bad, _ := de.DraftSheetPage(&some, "block", typed, map[string]string{"block/bore.limits[1].max": de.T("unit.two-marks", "text", "83,1.2", "mark", ","),
		"block/bore.limits[0].reason": de.T("revise.no-reason"), "block/bore-unworn.nominal": de.T("unit.not-a-number", "text", "1e3", "mark", ","),
		"block/bore.limits[1].source": de.T("revise.no-source"), "block/bore.limits[1].status": de.T("revise.no-status"),
		"source.kind": de.T("bench.no-source-kind"), "source.seen": de.T("bench.no-source-seen"), "elsewhere": de.T("revise.cannot-edit")})
	g.add("draftsheet-refused-de", "de", func(w io.Writer) error { return g.p.DraftSheet(w, bad) })
	if len(bad.Problems) != 1 {
		g.t.Errorf("%d problems stand at no field, want the one that belongs to none", len(bad.Problems))
	}
	g.moves(en, de, c, some)
}

func orEngine(s string) string {
	if s == "" {
		return "engine"
	}
	return s
}

// moves are the pages of a job whose family has another version.
func (g *gallery) moves(en, de view.Reader, c *view.Case, some view.Making) {
	p := some.Patch
	p.ID, p.Name = p.Base, ""
	_, text, _ := g.s.lib.Version(some.Base.Digest)
	out, faults := revise.Apply(text, p)
	if len(faults) > 0 {
		g.t.Fatal(faults)
	}
	next, faults := g.s.lib.With(library.Own{Now: library.Files{"family/corran-24-5.yaml": out}})
	if len(faults) > 0 {
		g.t.Fatal(faults)
	}
	to := next.Families["corran-24-5"]
	after, err := assess.Evaluate(assess.Knowledge{Library: next, Layout: to}, assess.Facts{Job: c.Job, Shop: c.Shop}, assess.Plan{})
	if err != nil {
		g.t.Fatal(err)
	}
	m := view.Moving{From: c.Layout, To: to, Exact: true, Differences: revise.Diff(c.Layout.Family, to.Family), After: after}
	m.Changes, m.Moved = gauge.Compare(c.Assessment, after)
	if len(m.Changes) == 0 {
		g.t.Fatal("no verdict changes")
	}
	stands := view.NewCase(c.Assessment, c.Layout, next, c.Job, c.Shop, sketch())
	key := strings.Repeat("0", 31) + "4"
	for _, r := range []view.Reader{en, de} {
		front, page := stands.JobPage(r), stands.RepinPage(r, m, key, "", "", nil)
		if front.Pinned == "" {
			g.t.Error("the job does not say on which version it stands")
		}
		g.add("repin-job-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Job(w, front) })
		g.add("repin-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Repin(w, page) })
	}
	lost := m
	lost.Exact, lost.Changes, lost.Gone = false, nil, []string{"block/bore/5/H1/T", "block/bore/5/H2/T"}
	bad := stands.RepinPage(de, lost, key, "", "", map[string]string{"reason": de.T("bench.no-reason"), "person": de.T("bench.no-person"), "to": de.T("bench.no-other-version")})
	g.add("repin-lost-de", "de", func(w io.Writer) error { return g.p.Repin(w, bad) })
	m.To = c.Layout
	same := c.RepinPage(en, m, key, "", "", nil)
	g.add("repin-same", "en", func(w io.Writer) error { return g.p.Repin(w, same) })
}

// making works a draft out as the bench does.
func (g *gallery) making(base string, list []revise.Change) view.Making {
	l := g.s.lib.Families[base]
	m := view.Making{ID: "0123456789abcdef", Base: l, Library: g.s.lib, Patch: revise.Patch{Format: revise.Format, Base: base, Digest: l.Digest, ID: "own-1",
		Name: "An engine of our own, with \"quotes\" & more", Changes: list, Sources: []source.Source{{ID: "own-manual", Kind: "book", Seen: "read", Place: "page 12", Title: "Workshop manual, synthetic"}}}}
	_, text, _ := g.s.lib.Version(l.Digest)
	out, faults := revise.Apply(text, m.Patch)
	if m.Faults = faults; len(faults) > 0 {
		return m
	}
	if m.Layout, m.Faults = g.s.lib.Check("family/own-1.yaml", out); m.Layout != nil {
		m.Differences = revise.Diff(l.Family, m.Layout.Family)
	}
	return m
}

func (g *gallery) someChanges() []revise.Change {
	return []revise.Change{{Path: "engine.bore", Old: "83.000 mm", New: "83.500 mm"}, {Path: "engine.oversizes", Old: "0.25 mm, 0.50 mm, 1.00 mm", New: "0.25 mm, 0.50 mm"},
		{Path: "block/bore.nominal", Old: "83.010 mm", New: "83.012 mm"},
		{Path: "block/bore.limits[1]", Old: "min 82.995 mm, max 83.060 mm", New: "min 82.995 mm, max 83.030 mm", Source: "own-manual", Status: cite.ManualInHand},
		{Path: "block/bore-taper.limits[1]", Old: "max 0.025 mm", Reason: "the maker gives none, and what is worn out of taper is out of round first"}}
}

// allChanges relabels every limit that is no check: the worst a page can be.
func (g *gallery) allChanges(base string) []revise.Change {
	var out []revise.Change
	f := g.s.lib.Families[base].Family
	for i := range f.Characteristics {
		c := &f.Characteristics[i]
		for k := range c.Limits {
			b := revise.Of(&c.Limits[k]).String()
			out = append(out, revise.Change{Path: fmt.Sprintf("%s.limits[%d]", c.ID, k), Old: b, New: b, Source: "own-manual", Status: cite.FromMemory})
		}
	}
	return out
}
