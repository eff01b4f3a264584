package view

import (
	"math"
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// Face is the map of one measured face with what it takes to make it flat.
type Face struct {
	ID, Title string
	Drawing   Drawing
	Plate     Plate
	Says      []string
	Left      Plate // whether what the cut leaves is enough
	LeftSays  string
	Notes     []string
	Rows      []FaceRow
	Unit      string
}

// FaceRow is one place of a face.
type FaceRow struct {
	Link   Link
	Height Number
}

// faces makes the maps of a component's faces.
func (c *Case) faces(r Reader, component, state string) []Face {
	var out []Face
	for _, s := range c.spots(component) {
		if s.place.Char.Relation != "flatness" {
			continue
		}
		v := s.in(state)
		if v == nil && state == "" {
			v = s.latest()
		}
		if v == nil {
			continue
		}
		if m, ok := c.Assessment.FaceMap(v); ok {
			out = append(out, c.face(r, &m))
		}
	}
	return out
}

func (c *Case) face(r Reader, m *assess.FaceMap) Face {
	v := m.Flatness
	f := Face{ID: strings.ReplaceAll(v.Position, "/", "-"), Title: c.Place(r, v.Position), Plate: c.plate(r, v), Unit: m.Unit}
	flat := r.With(v.Y, v.Unit)
	f.Says = append(f.Says, r.T("page.face.flat", "value", flat, "doubt", r.With(v.Expanded, v.UUnit)),
		r.T("page.face.spots", "high", c.spotName(r, m, m.High), "up", r.With(m.Points[m.High].Text, m.Unit), "low", c.spotName(r, m, m.Low),
			"down", r.With(m.Points[m.Low].Text, m.Unit)),
		r.T("page.face.cut", "depth", r.With(m.Cut.Depth, m.Cut.Unit), "doubt", r.With(m.Cut.Expanded, m.Cut.UUnit), "k", r.Num(m.Cut.K)))
	if m.Cut.Left != "" {
		f.Left = r.plate(plot.Verdict(m.Cut.LeftVerdict))
		f.LeftSays = r.T("page.face.left", "left", r.With(m.Cut.Left, m.Cut.From.Unit), "doubt", r.With(m.Cut.LeftExpanded, m.Cut.From.UUnit),
			"before", r.With(m.Cut.From.Y, m.Cut.From.Unit))
	}
	if m.Cut.Tied {
		f.Notes = append(f.Notes, r.T("page.face.tied"))
	}
	if m.Step != "" {
		f.Notes = append(f.Notes, r.T("page.face.lines", "step", r.With(m.Step, m.Unit)))
	}
	for i := range m.Points {
		p := &m.Points[i]
		f.Rows = append(f.Rows, FaceRow{Link{Href: AtHref(c.id(), p.Position, p.State), Text: c.spotName(r, m, i)}, Number{Text: r.Num(p.Text), Unit: m.Unit}})
	}
	plan := c.FacePlan(r, m)
	high := plan.Height(faceWidth)
	f.Drawing = Drawing(plot.Inline(faceWidth, high, f.Title+": "+strings.Join(f.Says, " "), func(cv plot.Canvas) { plan.Draw(cv, plot.Point{}, faceWidth, high) }))
	return f
}

// faceWidth is how wide a face is drawn on a page.
const faceWidth = 860.0

// spotName is a place of a face without the name of what is measured there.
func (c *Case) spotName(r Reader, m *assess.FaceMap, i int) string {
	p := c.place(m.Points[i].Position)
	n := len(p.Char.Per) - 1
	if n < 0 {
		return c.Place(r, p.ID)
	}
	return c.where(r, p.Char.Per[n:], p.At[n:])
}

// FacePlan is the drawing of a face's map.
func (c *Case) FacePlan(r Reader, m *assess.FaceMap) plot.FlatMap {
	p := c.place(m.Flatness.Position)
	x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	var out plot.FlatMap
	for i := range m.Points {
		q := &m.Points[i]
		x0, x1, y0, y1 = min(x0, q.X), max(x1, q.X), min(y0, q.Y), max(y1, q.Y)
		out.Full = max(out.Full, math.Abs(q.Height))
		out.Spots = append(out.Spots, plot.Spot{X: q.X, Y: q.Y, Height: q.Height, Figure: plain(r.Num(q.Text)), Marked: i == m.High || i == m.Low})
	}
	edge := (y1 - y0) * 0.16
	out.Outline = []plot.Point{plot.Pt(x0-edge, y0-edge), plot.Pt(x1+edge, y0-edge), plot.Pt(x1+edge, y1+edge), plot.Pt(x0-edge, y1+edge)}
	if given := p.In[1].Given; len(given) > 0 && strings.HasPrefix(given[0].Ref, "face/") {
		out.Holes = c.bores(p)
	}
	for _, l := range m.Levels {
		for _, line := range l.Lines {
			k := plot.Contour{Label: plain(r.Num(l.Text)), Closed: line.Closed, Level: l.Height}
			for _, q := range line.Points {
				k.Points = append(k.Points, plot.Pt(q.X, q.Y))
			}
			out.Contours = append(out.Contours, k)
		}
	}
	return out
}

// bores are the holes in a face whose places are those of the dimension face.
func (c *Case) bores(p *family.Place) []plot.Hole {
	cyl := c.Layout.Dims["cyl"]
	if cyl == nil {
		return nil
	}
	var out []plot.Hole
	for _, v := range cyl.Values {
		mine := true
		for k, dim := range p.Char.Per {
			if dim == "bank" {
				mine = indexOf(cyl.Touch["bank"][v], p.At[k]) >= 0
			}
		}
		if mine {
			out = append(out, plot.Hole{At: plot.Pt(cyl.At[v][0], 0), Radius: c.Layout.Family.Engine.Bore.SI() / 2})
		}
	}
	return out
}
