package gallery

import (
	"io"
	"strings"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/show/view"
)

// pictures are the pages that carry photos: of a part, of a position, of a
// finding, one alone, its form refused.
func (g *gallery) pictures(en, de view.Reader) {
	j, sh := g.s.demo(g.t, "2026-014")
	c := g.s.judge(g.t, g.s.lib.Families[j.Family], j, sh)
	d := func(s string) string { return strings.Repeat(s, 64) }
	if len(c.Assessment.Findings) == 0 {
		g.t.Fatal("the demonstration has no finding")
	}
	f := &c.Assessment.Findings[0]
	base := job.PhotoV1{Original: d("a"), Shown: d("b"), Small: d("c"), Type: "image/jpeg", Width: 4032, Height: 3024, Taken: "2026-03-04 11:30:12", Located: true}
	of := func(change func(*job.PhotoV1)) job.PhotoV1 { p := base; change(&p); return p }
	list := []job.PhotoV1{
		of(func(p *job.PhotoV1) { p.Part, p.Words = "shell-pin/4/upper", "Copper about the crown" }),
		of(func(p *job.PhotoV1) { p.Part, p.At = "block", "cyl/3" }),
		of(func(p *job.PhotoV1) {
			p.Position, p.Words = "block/bore/3/H1/T", "Sehr viele Worte über eine Kante, an der der Fingernagel hängt"
		}),
		of(func(p *job.PhotoV1) { p.Finding, p.Located, p.Taken = view.FindingRef(f), false, "" }),
		of(func(p *job.PhotoV1) { p.Finding = "gone@crank" }),
	}
	rows := []entry.Row{}
	for i, p := range list {
		l := newLog(g.t, c.Layout, "x", "x")
		l.list = l.list[:0]
		l.add(entry.Photo, p)
		e := l.list[0]
		e.Key[0] = byte(i + 50)
		rows = append(rows, entry.Row{Entry: e, Seq: j.Seq + int64(i) + 1})
	}
	st := j.With(rows)
	with := view.NewCase(c.Assessment, c.Layout, c.Library, st, c.Shop, sketch())
	if len(st.Photos) != len(list) {
		g.t.Fatalf("%d of %d photos", len(st.Photos), len(list))
	}
	key := strings.Repeat("0", 31) + "6"
	for _, id := range []string{"shell-pin", "block", "crank"} {
		v, _ := with.PartPage(en, id, "", with.SeenFormFor(en, id, key, view.Noticed{}, nil))
		if len(v.Photos) == 0 {
			g.t.Errorf("%s shows no photo", id)
		}
		g.add("photo-part-"+id, "en", func(w io.Writer) error { return g.p.Part(w, v) })
	}
	g.at("photo-at-de", de, with, "block/bore/3/H1/T", job.Found, view.Typed{Fresh: true}, nil)
	found := with.FindingsPage(en, view.Step{})
	g.add("photo-findings", "en", func(w io.Writer) error { return g.p.Findings(w, found) })
	log := with.LogPage(en, 0)
	g.add("photo-log", "en", func(w io.Writer) error { return g.p.Log(w, log) })
	for i, r := range []view.Reader{en, de, en, en, en} {
		v, ok := with.PhotoPage(r, st.Photos[i].Key)
		if !ok {
			g.t.Fatal("a photo has no page")
		}
		v.Notice = with.Stored(r, rows[i].Seq, string(assess.Accept))
		g.add("photo-"+string(rune('1'+i)), r.Lang, func(w io.Writer) error { return g.p.Photo(w, v) })
	}
	n := view.Pictured{Where: "block@cyl/3", Words: "worn", Person: "p-5c1e"}
	faults := map[string][]string{"photo": {de.T("photo.too-many-pixels", "found", "20000 × 20000", "most", "50")}, "person": {de.T("bench.no-person")}, "": {de.T("bench.other-content")}}
	bad, ok := with.PhotoNewPage(de, n, with.PhotoFormFor(de, key, n, faults))
	if !ok {
		g.t.Fatal("no form of a photo")
	}
	g.add("photo-refused-de", "de", func(w io.Writer) error { return g.p.PhotoNew(w, bad) })
	n = view.Pictured{Finding: view.FindingRef(f)}
	fresh, _ := with.PhotoNewPage(en, n, with.PhotoFormFor(en, key, n, nil))
	g.add("photo-new-finding", "en", func(w io.Writer) error { return g.p.PhotoNew(w, fresh) })
}
