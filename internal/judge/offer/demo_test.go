package offer_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/judge/offer"
	"fettle/internal/judge/plan"
	"fettle/internal/know/library"
)

func rows(list []entry.Entry) []entry.Row {
	out := make([]entry.Row, len(list))
	for i, e := range list {
		out[i] = entry.Row{Entry: e, Seq: int64(i + 1)}
	}
	return out
}

// Law: each demonstration job can be offered by every route of the shop, from its
// own readings: with hours, with a date, with what each route leaves undone; a
// quote made of it verifies. Everything in it is synthetic.
func TestDemoJobsAreOffered(t *testing.T) {
	root := filepath.Join("..", "..", "..", "data")
	files := library.Files{}
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(name)
		rel, _ := filepath.Rel(root, name)
		files[filepath.ToSlash(rel)] = b
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for _, id := range []string{"2026-014", "2026-021"} {
		tr, faults := demo.Load(id, files["demo/"+id+".yaml"], "shop.yaml", files["demo/shop.yaml"])
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		lay, faults := lib.Family(tr.Family, files["family/"+tr.Family+".yaml"])
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		made, faults := demo.Make(tr, lay, lib, 0, nil)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		f := assess.Facts{Job: job.Replay(rows(made.Job)), Shop: shop.Replay(rows(made.Shop))}
		if f.Shop.Terms == nil {
			t.Fatal("the shop of the demonstration has no terms")
		}
		k := assess.Knowledge{Library: lib, Layout: lay}
		a, err := assess.Evaluate(k, f, assess.Plan{})
		if err != nil {
			t.Fatal(err)
		}
		basis := offer.Basis{Library: lib, Layout: lay, Terms: *f.Shop.Terms, Machines: func(id string) bool { return len(f.Shop.MachinesOf(id)) > 0 }}
		in := offer.Input{Terms: *f.Shop.Terms, From: "2026-12-01"}
		for _, r := range lib.Routes().Routes {
			p, err := plan.Make(plan.Input{Knowledge: k, Facts: f, Assessment: a, Shelf: plan.Shelf{Currency: "EUR"}, Route: r.ID})
			if err != nil {
				t.Fatal(err)
			}
			route, err := basis.FromPlan(p)
			if err != nil {
				t.Fatal(err)
			}
			in.Routes = append(in.Routes, route)
		}
		o, err := offer.Make(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range o.Options {
			m := p.Minutes()
			t.Logf("%s %s: %d lines, %d to %d h, %s %s (%s to %s), %s %s, %d limits, %d declined, %d open, waits %v", id, p.ID, len(p.Lines), m[0]/60, m[1]/60, p.Likely, p.Safe,
				p.Gross.Low, p.Gross.High, p.Date.Half, p.Date.Four, len(p.Limits), len(p.Declined), len(p.Open), p.Date.Waits[:min(4, len(p.Date.Waits))])
			if len(p.Lines) < 20 || m[0] < 20*60 || p.Date.Half > p.Date.Four || p.Date.First < in.From || len(p.Name) == 0 {
				t.Errorf("%s %s is thin", id, p.ID)
			}
			for _, d := range p.Declined {
				if d.Says.In("en") == "" || d.Title.In("de") == "" {
					t.Errorf("%s %s: %s is left without a word on what follows", id, p.ID, d.Finding)
				}
			}
		}
		if n := len(o.Options[0].Declined); n < len(o.Options[1].Declined) {
			t.Errorf("%s: the refreshed engine leaves %d undone, fewer than the restored one", id, n)
		}
		s, err := offer.File{Job: id, Offer: o}.Seal()
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := offer.Verify(s.Bytes); err != nil {
			t.Error(err)
		}
	}
}
