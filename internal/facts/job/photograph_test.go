package job

import (
	"strings"
	"testing"

	"fettle/internal/facts/entry"
)

// Law: a photo comes back whole, also through With; one that is of nothing, of
// two things, or names no file is kept as not understood.
func TestPhotos(t *testing.T) {
	d := func(c string) string { return strings.Repeat(c, 64) }
	good := PhotoV1{Original: d("a"), Shown: d("b"), Small: d("c"), Type: "image/jpeg", Width: 4000, Height: 3000, Part: "block", At: "cyl/3",
		Words: "the step", Taken: "2026-03-04 11:30:12", Located: true}
	l := &log{t: t}
	l.add(entry.JobOpened, OpenedV1{Job: "7", Family: "corran-24-5", Title: "t"})
	l.add(entry.Photo, good)
	for _, change := range []func(*PhotoV1){func(p *PhotoV1) { p.Part, p.At = "", "" }, func(p *PhotoV1) { p.Position = "block/bore/1/H1/T" },
		func(p *PhotoV1) { p.Part = ""; p.Finding = "f@block" }, func(p *PhotoV1) { p.Shown = "b" }, func(p *PhotoV1) { p.Original = d("A") },
		func(p *PhotoV1) { p.Width = 0 }} {
		odd := good
		change(&odd)
		l.add(entry.Photo, odd)
	}
	for name, s := range map[string]*State{"replayed": Replay(l.rows), "grown": Replay(l.rows[:1]).With(l.rows[1:])} {
		if len(s.Photos) != 1 || s.Photos[0].PhotoV1 != good || s.Photos[0].Key != l.rows[1].Key.String() || s.Lines[1].Photo != 1 {
			t.Errorf("%s: %+v", name, s.Photos)
		}
		for i, line := range s.Lines {
			if line.Known != (i < 2) {
				t.Errorf("%s: line %d understood: %v", name, i+1, line.Known)
			}
		}
	}
}
