package text

import (
	"fettle/internal/judge/plan"
	"fettle/internal/show/view"
)

// Plan sets a plan: what becomes of each finding, what cannot be met, sizes to cut
// to, which part goes where and why, the work, what is to be bought.
//
// Shapes: case, reader, plan -> UTF-8 text ending in a line feed.
// Units:  width in characters, as Table.
func Plan(c *view.Case, r view.Reader, p *plan.Plan, width int) []byte {
	w := &writer{c: c, r: r, width: min(max(width, least), most)}
	v := c.PlanPage(r, p, view.Asked{}, "")
	w.line(r.T("text.head", "title", p.Title, "family", c.Layout.Family.Name.In(r.Lang), "job", p.Job))
	for _, x := range v.Routes {
		if x.Current {
			w.para("", x.Text+": "+x.What)
		}
	}
	w.para("", v.Under)
	w.para("", v.State+" "+r.T("page.plan.proposes"))
	for _, x := range v.Conflicts {
		w.head(r.T("page.plan.conflicts"))
		w.para("  ", x.About+": "+x.Says)
		for _, d := range x.Demands {
			w.para("    - ", d)
		}
		for _, d := range x.Ways {
			w.para("    > ", d)
		}
	}
	w.head(r.T("page.plan.findings"))
	for _, f := range v.Findings {
		w.para("  ", f.Title.Text+" → "+f.Outcome)
		w.para("      ", f.Text+" "+f.Why)
	}
	if len(v.Cuts) > 0 {
		w.head(r.T("page.plan.cuts"))
		for _, x := range v.Cuts {
			w.para("  ", x.Group+" "+x.Step+" → "+x.Size+". "+x.Why)
		}
		for _, a := range v.Aims {
			w.para("    ", a.Part+": "+a.From+" → "+a.To)
		}
	}
	w.head(r.T("page.plan.fits"))
	for _, f := range v.Fits {
		w.para("  ", f.Name+": "+f.Sum)
		for _, n := range f.Notes {
			w.para("    ", n)
		}
		for _, x := range f.Rows {
			w.para("    ", x.Place.Text+": "+x.Why+" "+x.Instead+" "+x.Waits)
		}
	}
	w.head(r.T("page.plan.work") + " " + v.Hours)
	for _, x := range v.Work {
		w.para("  ", x.Name+" "+x.Hours)
	}
	w.head(r.T("page.plan.purchase") + " " + v.Purchase.Sum)
	for _, l := range v.Purchase.Lines {
		w.para("  ", l.Count+" × "+l.Item+", "+l.Supplier+", "+l.Price)
	}
	for _, m := range v.Purchase.Missing {
		w.para("  ! ", m)
	}
	if len(v.Open) > 0 {
		w.head(r.T("page.plan.open"))
	}
	for _, o := range v.Open {
		at := ""
		if o.Place.Text != "" {
			at = o.Place.Text + ": "
		}
		w.para("  ", at+o.Says)
	}
	return []byte(w.b.String())
}
