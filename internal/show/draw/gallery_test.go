package draw

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
	"fettle/internal/know/family/familytest"
	"fettle/internal/show/plot"
)

// read lays out a family of the repository.
func read(t testing.TB, name string) *family.Layout {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "data", "family", name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return lay(t, name, text)
}

func lay(t testing.TB, name string, text []byte) *family.Layout {
	t.Helper()
	l, faults := family.Parse(name, text, validator, family.Known{Relations: register.Signature})
	if len(faults) > 0 {
		t.Fatal(faults[0])
	}
	return l
}

var (
	validator = family.Validator()
	register  = compute.NewRegister()
)

// marked gives every position of a component a mark; verdicts are synthetic,
// from the position's place in the file.
func marked(l *family.Layout, component string) Marks {
	verdicts := []plot.Verdict{plot.Accept, plot.Accept, plot.Accept, plot.Undecided, plot.Accept, plot.Reject, plot.Accept, plot.Unmeasured, plot.Accept, plot.Rework, plot.Accept}
	m, n := Marks{}, 0
	for i := range l.Places {
		if p := &l.Places[i]; p.Char.Component() == component {
			m[p.ID] = Mark{Verdict: verdicts[(n*7+n/11)%len(verdicts)], Href: "/job/J-1/at/" + p.ID, Title: p.ID + ": synthetic", Armed: n == 8}
			n++
		}
	}
	return m
}

func svg(l *family.Layout, component string, marks Marks, opt Options) string {
	w, h := Size(l, component, opt)
	c := plot.NewSVG(w, h, component)
	Part(c, l, component, marks, opt)
	return c.String()
}

func engineSVG(l *family.Layout, marks Marks) string {
	w, h := EngineSize(l, marks, Options{})
	c := plot.NewSVG(w, h, l.Family.ID)
	Engine(c, l, marks, Options{})
	return c.String()
}

// engineMarks gives every component a mark.
func engineMarks(l *family.Layout) Marks {
	verdicts := []plot.Verdict{plot.Accept, plot.Undecided, plot.Accept, plot.Reject, plot.Unmeasured}
	m := Marks{}
	for i, c := range l.Family.Components {
		m[c.ID] = Mark{Verdict: verdicts[i%5], Href: "/job/J-1/part/" + c.ID, Title: c.Name.In("en")}
	}
	return m
}

// pdf sets every drawing of a family on A4, one under another.
func pdf(t testing.TB, l *family.Layout) []byte {
	t.Helper()
	doc := fpdf.New("P", "mm", "A4", "")
	when := time.Date(2026, 1, 2, 3, 4, 5, 0, time.UTC)
	doc.SetCreationDate(when)
	doc.SetModificationDate(when)
	doc.SetCatalogSort(true)
	doc.SetAutoPageBreak(false, 0)
	plot.AddFonts(doc)
	y := 1000.0
	set := func(w, h float64, draw func(plot.Canvas)) {
		scale := min(190/w, 250/h, plot.NaturalMM)
		if y+h*scale > 285 {
			doc.AddPage()
			y = 10
		}
		draw(plot.NewPDF(doc, 10, y, scale))
		y += h*scale + 8
	}
	w, h := EngineSize(l, engineMarks(l), Options{})
	set(w, h, func(c plot.Canvas) { Engine(c, l, engineMarks(l), Options{}) })
	for _, comp := range l.Family.Components {
		w, h := Size(l, comp.ID, Options{})
		set(w, h, func(c plot.Canvas) { Part(c, l, comp.ID, marked(l, comp.ID), Options{}) })
	}
	var out bytes.Buffer
	if err := doc.Output(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

var (
	galleryDir  = flag.String("gallery", "", "write the drawings into this folder")
	galleryOnly = flag.String("only", "", "components to draw, separated by commas")
)

// TestGallery writes pages to look at: the families of the repository, a flat
// four and sixteen cylinders in a vee.
func TestGallery(t *testing.T) {
	if *galleryDir == "" {
		t.Skip("no -gallery folder given")
	}
	for _, f := range plot.Fonts() {
		write(t, f.Name, f.TTF)
	}
	families := map[string]*family.Layout{}
	for _, name := range []string{"corran-24-5", "tarn-32-6", "skerry-40-8", "brae-05-1"} {
		families[name] = read(t, name)
	}
	for _, s := range []familytest.Spec{{Cylinders: 4, Inlet: 2, Exhaust: 2, Layout: "flat", Valvetrain: "bucket", Drive: "belt"}, {Cylinders: 16, Inlet: 3, Exhaust: 2, Layout: "vee", Valvetrain: "finger", Drive: "gear"}, {Cylinders: 16, Inlet: 2, Exhaust: 2, Layout: "flat", Valvetrain: "bucket", Drive: "chain"}, {Cylinders: 12, Inlet: 1, Exhaust: 1, Layout: "inline", Valvetrain: "pushrod", Drive: "chain"}} {
		families[s.String()] = lay(t, s.String(), s.Text())
	}
	for name, l := range families {
		var b strings.Builder
		if *galleryOnly == "" || strings.Contains(","+*galleryOnly+",", ",engine,") {
			fmt.Fprintf(&b, "<h2>%s</h2>%s\n", name, engineSVG(l, engineMarks(l)))
		}
		for _, c := range l.Family.Components {
			if *galleryOnly != "" && !strings.Contains(","+*galleryOnly+",", ","+c.ID+",") {
				continue
			}
			fmt.Fprintf(&b, "<h2>%s: %s (%s)</h2>%s\n", name, c.ID, kind(&c), svg(l, c.ID, marked(l, c.ID), Options{}))
		}
		for _, theme := range []string{"paper", "blueprint"} {
			write(t, name+"-"+theme+".html", fmt.Appendf(nil, "<!doctype html><html lang=en data-theme=%s><meta charset=utf-8><title>drawings</title><style>%s%sbody{background:var(--ground);color:var(--pen);font:14px Go;margin:24px}h2{font-size:11px;color:var(--thin)}svg{display:block}</style><body>%s",
				theme, plot.FontFace("go-regular.ttf", "go-bold.ttf"), plot.CSS(), b.String()))
		}
		if *galleryOnly == "" {
			write(t, name+".pdf", pdf(t, l))
		}
	}
}

func write(t *testing.T, name string, content []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(*galleryDir, name), content, 0o644); err != nil {
		t.Fatal(err)
	}
}
