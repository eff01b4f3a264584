package cli

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"golang.org/x/sync/errgroup"

	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
	"fettle/internal/know/family/familytest"
	"fettle/internal/know/library"
	"fettle/internal/show/draw"
	"fettle/internal/show/plot"
	"fettle/internal/show/sheet"
	"fettle/internal/show/view"
)

// knowledge reads the knowledge folder of this repository, without families.
func knowledge(t testing.TB) *library.Library {
	t.Helper()
	files, err := gather(os.DirFS("../../../data"))
	if err != nil {
		t.Fatal(err)
	}
	lib, faults := library.Read(files, compute.NewRegister().Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return lib
}

// TestEveryEngineOfTheGrid takes 1 to 16 cylinders × 2 to 5 valves × each layout
// and each drive, the valve trains in turn, from a family file through lint,
// readings of every measured place at its nominal, evaluation, the drawing of
// every part and the build record. Synthetic: the families are generated and
// belong to no engine.
func TestEveryEngineOfTheGrid(t *testing.T) {
	specs := familytest.All()
	if testing.Short() {
		specs = slices.DeleteFunc(specs, func(s familytest.Spec) bool { return (s.Cylinders+s.Inlet+s.Exhaust)%7 > 0 })
	}
	began := time.Now()
	var next, positions, drawings, taken atomic.Int64
	var g errgroup.Group
	for range 2 {
		lib := knowledge(t) // each worker has its own: reading a family adds to it
		g.Go(func() error {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(specs) {
					return nil
				}
				name := specs[i].String() + ".yaml"
				l, faults := lib.Family(name, specs[i].Text())
				if len(faults) > 0 {
					return faults
				}
				e := &engine{lib: lib, l: l}
				n, err := e.through()
				if err != nil {
					return fmt.Errorf("%s: %w", name, err)
				}
				positions.Add(int64(len(l.Places)))
				taken.Add(int64(e.a.Tally.Readings))
				drawings.Add(int64(n))
				delete(lib.Families, l.Family.ID) // 576 of them would fill the memory
				delete(lib.Digests, l.Family.ID)
			}
		})
	}
	if err := g.Wait(); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d engines, %d positions, %d readings, %d drawings, as many records as engines, in %.1f s",
		len(specs), positions.Load(), taken.Load(), drawings.Load(), time.Since(began).Seconds())
}

// engine is one family on its way through the program.
type engine struct {
	lib *library.Library
	l   *family.Layout
	j   *job.State
	s   *shop.State
	a   *assess.Assessment
}

// through takes an engine through everything and counts its drawings.
func (e *engine) through() (drawings int, err error) {
	if err := e.atNominal(); err != nil {
		return 0, err
	}
	if drawings, err = e.draw(); err == nil {
		err = e.record()
	}
	return drawings, err
}

// atNominal measures every measured place at its nominal, in the middle of its
// limits, with a gauge of the kind it names, and evaluates: no finding, nothing
// left unmeasured.
func (e *engine) atNominal() error {
	sh := readings.Sheet{Job: "grid", Title: e.l.Family.ID}
	gauges := map[string]bool{}
	for i := range e.l.Places {
		p := &e.l.Places[i]
		if p.Char.Relation != "" {
			continue
		}
		r := readings.Row{ReadingV1: job.ReadingV1{Position: p.ID, State: job.Found, Typed: "pass", Value: "pass", Condition: p.Char.Condition}}
		if p.Char.Quantity != family.Check {
			n := p.Char.Nominal
			if n.IsZero() {
				return fmt.Errorf("%s has no nominal", p.ID)
			}
			r.Typed, r.Value, r.Unit, r.Gauge = n.String(), n.Text, n.Unit, p.Char.Gauges[0]
			r.PartTemp, r.GaugeTemp = "20.0", "20.0"
			gauges[r.Gauge] = true
		}
		sh.Readings = append(sh.Readings, r)
	}
	for _, g := range sorted(gauges) {
		sh.Gauges = append(sh.Gauges, shop.GaugeV1{Gauge: g, Type: g})
	}
	text := readings.Write(sh)
	got, faults := readings.Parse("grid.csv", text, e.l, names(e.lib.Instruments))
	if len(faults) > 0 {
		return faults
	}
	j, s, err := got.ToState(job.OpenedV1{Job: "grid", Title: "grid", Family: e.l.Family.ID})
	if err != nil {
		return err
	}
	a, err := assess.Evaluate(assess.Knowledge{Library: e.lib, Layout: e.l}, assess.Facts{Job: j, Shop: s}, assess.Plan{})
	if err != nil {
		return err
	}
	e.j, e.s, e.a = j, s, a
	if a.Tally.Readings != len(sh.Readings) || len(a.Values) != len(e.l.Places) || a.Tally.Unmeasured != 0 || a.Tally.Reject != 0 {
		return fmt.Errorf("%d readings of %d, %d values at %d places: %+v", a.Tally.Readings, len(sh.Readings), len(a.Values), len(e.l.Places), a.Tally)
	}
	for i := range e.l.Places {
		v, ok := a.Find(e.l.Places[i].ID, job.Found)
		if !ok || !v.Has && !v.Check {
			return fmt.Errorf("%s is not evaluated", e.l.Places[i].ID)
		}
	}
	for _, f := range a.Findings {
		return fmt.Errorf("at nominal: %s on %s, %+v", f.ID, f.Part, f.Evidence[f.Worst])
	}
	for _, t := range a.Targets {
		if t.Needed {
			return fmt.Errorf("at nominal a cut is asked for: %+v", t)
		}
	}
	return nil
}

// draw draws every part and the whole with its marks, as well-formed SVG.
func (e *engine) draw() (int, error) {
	marks := draw.Marks{}
	for i := range e.a.Values {
		v := &e.a.Values[i]
		marks[v.Position] = draw.Mark{Verdict: plot.Verdict(v.Verdict), Title: v.Position, Href: "#" + v.Position}
	}
	n := 0
	for _, comp := range e.l.Family.Components {
		w, h := draw.Size(e.l, comp.ID, draw.Options{})
		svg := plot.NewSVG(w, h, comp.ID)
		draw.Part(svg, e.l, comp.ID, marks, draw.Options{})
		if err := wellFormed(svg.File()); err != nil {
			return n, fmt.Errorf("drawing of %s: %w", comp.ID, err)
		}
		n++
	}
	w, h := draw.EngineSize(e.l, draw.Marks{}, draw.Options{})
	svg := plot.NewSVG(w, h, "engine")
	draw.Engine(svg, e.l, draw.Marks{}, draw.Options{})
	return n + 1, wellFormed(svg.File())
}

// wellFormed reads an SVG file to its end; it holds at least one line or text.
func wellFormed(svg string) error {
	d := xml.NewDecoder(strings.NewReader(svg))
	drawn := 0
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		if s, ok := tok.(xml.StartElement); ok && (s.Name.Local == "path" || s.Name.Local == "line" || s.Name.Local == "rect" || s.Name.Local == "circle") {
			drawn++
		}
	}
	if drawn == 0 || strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
		return fmt.Errorf("%d things drawn, NaN %v", drawn, strings.Contains(svg, "NaN"))
	}
	return nil
}

// record sets the build record.
func (e *engine) record() error {
	r := view.Reader{Book: e.lib.Book("en"), Lang: "en", Mark: '.'}
	pdf, err := sheet.Record(sheet.Input{Case: view.NewCase(e.a, e.l, e.lib, e.j, e.s, view.Sketch{}), Reader: r, Program: "fettle test"})
	if err != nil {
		return err
	}
	if !bytes.HasPrefix(pdf, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(pdf), []byte("%%EOF")) || len(pdf) < 20_000 {
		return fmt.Errorf("%d bytes are no record", len(pdf))
	}
	return nil
}
