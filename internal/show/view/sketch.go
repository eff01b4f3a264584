package view

import (
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// Spot is what a drawing knows of one position: where it leads, how it is
// marked, what it is called. Key is a position, or a component's id on the
// drawing of a whole engine.
type Spot struct {
	Key     string
	Verdict plot.Verdict
	Href    string
	Title   string // in words, with verdict
	Short   string // at most a few letters, e.g. 4 or H2
	Armed   bool   // the position this page is about
}

// Sketch draws parts and engines from their family file. A nil function, or
// an empty answer, leaves the plan of positions in its place.
type Sketch struct {
	Part   func(l *family.Layout, component, label string, spots []Spot, figure func(string) string) string
	Engine func(l *family.Layout, label string, spots []Spot) string
}

// Part draws one component with its positions marked.
func (c *Case) part(r Reader, component, state, armed string) Drawing {
	var spots []Spot
	for _, s := range c.spots(component) {
		v := s.in(state)
		if v == nil {
			v = s.latest()
		}
		if v.Verdict == "" && armed != v.Position && v.Derived {
			continue // nothing to say, nothing to measure
		}
		spots = append(spots, Spot{Key: v.Position, Verdict: plot.Verdict(v.Verdict), Href: AtHref(c.id(), v.Position, v.State),
			Title: c.words(r, v), Short: short(s.place.At), Armed: v.Position == armed})
	}
	label := r.T("page.drawing.part", "part", c.Part(r, component))
	if c.Sketch.Part != nil {
		if svg := c.Sketch.Part(c.Layout, component, label, spots, r.Num); svg != "" {
			return Drawing(svg)
		}
	}
	return planOf(label, spots, 12)
}

func short(at []string) string {
	out := ""
	for i, a := range at {
		if i > 0 {
			out += " "
		}
		out += a
	}
	return out
}

// engine draws the whole engine, one mark a component.
func (c *Case) engine(r Reader) Drawing {
	var spots []Spot
	for _, name := range systemOrder() {
		for i := range c.Layout.Family.Components {
			comp := &c.Layout.Family.Components[i]
			if comp.System != name || len(c.spots(comp.ID)) == 0 {
				continue
			}
			_, worst := c.count(comp.ID)
			spots = append(spots, Spot{Key: comp.ID, Verdict: plot.Verdict(worst), Href: JobHref(c.id(), "part", comp.ID),
				Title: comp.Name.In(r.Lang) + ": " + verdictWord(r, worst), Short: comp.Name.In(r.Lang)})
		}
	}
	label := r.T("page.drawing.engine", "engine", c.Layout.Family.Name.In(r.Lang))
	if c.Sketch.Engine != nil {
		if svg := c.Sketch.Engine(c.Layout, label, spots); svg != "" {
			return Drawing(svg)
		}
	}
	return planOf(label, spots, 4)
}

func verdictWord(r Reader, v assess.Verdict) string {
	if v == "" {
		return r.T("page.verdict.none")
	}
	return r.T("page.verdict." + string(v))
}

// planOf is the drawing of last resort: the spots in rows, in their order.
func planOf(label string, spots []Spot, across int) Drawing {
	const w, step = 960.0, 30.0
	across = max(1, min(across, len(spots)))
	cell := w / float64(across)
	rows := (len(spots) + across - 1) / across
	return Drawing(plot.Inline(w, float64(max(rows, 1))*step, label, func(cv plot.Canvas) {
		for i, s := range spots {
			x, y := float64(i%across)*cell, float64(i/across)*step
			cv.Open(plot.Group{Href: s.Href, Title: s.Title, Class: "spot", Data: []plot.Datum{{Key: "position", Value: s.Key}}})
			cv.Rect(x+1, y+1, cell-2, step-2, plot.Style{Stroke: spotInk(s), Line: spotLine(s), Fill: plot.InkGround})
			plot.Sign(cv, plot.Pt(x+14, y+step/2), 7, s.Verdict)
			cv.Text(plot.Pt(x+28, y+step/2), plot.Text{S: plot.Fit(s.Short, 12, plot.Regular, cell-34), Size: 12, Base: plot.CapMiddle})
			cv.Close()
		}
	}))
}

func spotInk(s Spot) plot.Ink {
	if s.Armed {
		return plot.InkAccent
	}
	return plot.InkFaint
}

func spotLine(s Spot) plot.Line {
	if s.Armed {
		return plot.Heavy
	}
	return plot.Hair
}
