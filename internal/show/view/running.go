package view

import (
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/judge/model"
	"fettle/internal/physics/film"
	"fettle/internal/show/plot"
)

// Running is the page of an engine as it runs.
type Running struct {
	Frame
	Lacks    string // why there is nothing to see
	Fields   []Slide
	Tried    bool // clearances are those of the form
	Oils     []Choice
	Bearings []Choice
	RunningPart
	Study   *StudyView
	Without []string // what the model leaves out
	Drawn   string
}

// RunningPart is what changes with every move of a slider.
type RunningPart struct {
	Says    []string
	Figures []Figure
	Rows    []FilmRow
}

// Figure is a drawing with one sentence under it.
type Figure struct {
	ID, Title, Under string
	Drawing          Drawing
}

// FilmRow is one bearing.
type FilmRow struct {
	Name                                    string
	Chosen                                  bool
	Clearance, Doubt, Gap, When, Rough      string
	Celsius, Loss, Flow, Peak, Share, Fault string
	Not                                     string // why the film is not resolved
}

// StudyView is clearances tried with oils.
type StudyView struct {
	Caption string
	Heads   []string
	Rows    []StudyRow
	Says    string
	Chance  string
}

// StudyRow is one oil.
type StudyRow struct {
	Oil   string
	Cells []StudyCell
}

// StudyCell is the least film of the worst bearing.
type StudyCell struct {
	Text, Doubt string
	Best        bool
}

// RunningPage makes the page; l is nil where the engine cannot be run.
func (c *Case) RunningPage(r Reader, l *model.Looked, g *model.Ground, s *model.Study, lacks string) Running {
	v := Running{Frame: c.frame(r, r.T("page.running.title"), "running", "", c.lastState("")), Lacks: lacks}
	if l == nil {
		return v
	}
	v.Tried = l.Main > 0 || l.Pin > 0
	v.RunningPart = c.RunningPart(r, l, g)
	v.Fields = c.slides(r, l)
	for i := range c.Library.Lubricants().Oils {
		o := &c.Library.Lubricants().Oils[i]
		v.Oils = append(v.Oils, Choice{Value: o.ID, Text: o.Name.In(r.Lang), Chosen: o.ID == l.Oil})
	}
	v.Bearings = append(v.Bearings, Choice{Value: "", Text: r.T("page.running.worst"), Chosen: l.Bearing == ""})
	for _, b := range l.Rig.Bearings() {
		v.Bearings = append(v.Bearings, Choice{Value: b.ID, Text: c.Part(r, b.ID), Chosen: l.Bearing == b.ID})
	}
	if s != nil {
		v.Study = c.study(r, l, s)
	}
	for _, k := range []string{"rigid", "alike", "waves", "mains", "edge", "warm"} {
		v.Without = append(v.Without, r.T("page.running.without."+k))
	}
	if n := len(l.Rig.Drawn); n > 0 {
		names := ""
		for i, d := range l.Rig.Drawn {
			if i > 0 {
				names += ", "
			}
			names += c.charName(r, c, d)
		}
		v.Drawn = r.T("page.running.drawn", "what", names)
	}
	return v
}

// slides are what can be moved, with the span of each.
func (c *Case) slides(r Reader, l *model.Looked) []Slide {
	limiter := math.Round(unit.FromSI(c.Layout.Family.Engine.Limiter.SI(), "rpm")/100) * 100
	slide := func(name, u string, si, lo, hi, step float64, decimals int) Slide {
		n := strconv.FormatFloat(unit.FromSI(si, u), 'f', decimals, 64)
		return Slide{Name: name, Label: r.T("page.running." + name), Unit: u, Least: strconv.FormatFloat(lo, 'f', -1, 64), Most: strconv.FormatFloat(hi, 'f', -1, 64),
			Step: strconv.FormatFloat(step, 'f', -1, 64), Value: n, Text: r.With(n, u)}
	}
	main, pin := l.Main, l.Pin
	for i, b := range l.Rig.Bearings() {
		if main == 0 && b.Component == "shell-main" {
			main = l.Clearances[i]
		}
		if pin == 0 && b.Component == "shell-pin" {
			pin = l.Clearances[i]
		}
	}
	out := []Slide{slide("speed", "rpm", l.Speed, 1000, limiter, 100, 0), slide("inlet", "°C", l.Inlet, 60, 150, 1, 0),
		slide("charge", "bar", l.Charge, 0.6, 2.6, 0.05, 2)}
	clear := []Slide{slide("main", "µm", main, 20, 120, 1, 0)}
	if pin > 0 {
		clear = append(clear, slide("pin", "µm", pin, 20, 120, 1, 0))
	}
	for _, s := range clear {
		s.Clear = true
		out = append(out, s)
	}
	return out
}

// RunningPart is what changes with every move.
func (c *Case) RunningPart(r Reader, l *model.Looked, g *model.Ground) RunningPart {
	var v RunningPart
	for i, b := range l.Rig.Bearings() {
		v.Rows = append(v.Rows, c.filmRow(r, l, i, b))
	}
	v.Says = append(v.Says, c.runs(r, l)...)
	v.Figures = []Figure{c.orbit(r, l), c.polar(r, l), c.ground(r, l, g), c.trace(r, l)}
	return v
}

// micro writes a length in µm for this reader.
func (r Reader) micro(si float64, decimals int) string {
	return r.With(unit.Format(si, "µm", decimals), "µm")
}

func (c *Case) filmRow(r Reader, l *model.Looked, i int, b *model.Bearing) FilmRow {
	row := FilmRow{Name: c.Part(r, b.ID), Chosen: i == l.At, Clearance: r.micro(l.Clearances[i], 1)}
	if l.Clearances[i] == b.Clearance.Value && b.Clearance.Known() {
		row.Doubt = r.T("page.running.doubt", "u", r.micro(2*b.Clearance.U, 1))
	}
	f := &l.Films[i]
	if f.Err != nil {
		row.Fault = r.T("page.running.nofilm", "error", f.Err.Error())
		return row
	}
	row.Gap, row.Rough = r.micro(f.Gap, 2), r.Num(strconv.FormatFloat(f.Lambda, 'f', 1, 64))
	row.When = r.With(strconv.FormatFloat(720*f.Step/float64(l.Loads.Steps()), 'f', 0, 64), "°crank")
	row.Celsius, row.Loss = r.With(strconv.FormatFloat(f.Celsius, 'f', 0, 64), "°C"), r.With(strconv.FormatFloat(f.Loss, 'f', 0, 64), "W")
	row.Flow = r.With(unit.Format(f.Side+f.Feed, "l/min", 2), "l/min")
	row.Peak = r.With(unit.Format(f.Peak, "MPa", 0), "MPa")
	row.Not = c.unresolved(r, f.Doubt)
	return row
}

// unresolved says why a film is not resolved; "" where it is.
func (c *Case) unresolved(r Reader, d []film.Doubt) string {
	out := ""
	for _, k := range d {
		if out != "" {
			out += "; "
		}
		out += r.T("page.running.not." + [...]string{"map", "rigid", "rough", "closed"}[k])
	}
	return out
}

// runs are the sentences on what was worked out.
func (c *Case) runs(r Reader, l *model.Looked) []string {
	all := l.Rig.Bearings()
	f := &l.Films[l.At]
	out := []string{r.T("page.running.says", "bearing", c.Part(r, all[l.At].ID), "gap", r.micro(f.Gap, 2), "clearance", r.micro(l.Clearances[l.At], 1),
		"oil", l.Pour.Name.In(r.Lang), "speed", r.With(unit.Format(l.Speed, "rpm", 0), "rpm"), "inlet", r.With(strconv.FormatFloat(l.Inlet, 'f', 0, 64), "°C"),
		"film", r.With(strconv.FormatFloat(f.Celsius, 'f', 0, 64), "°C"))}
	if u := l.FilmU(); u > 0 {
		out[0] += " " + r.T("page.running.doubts", "u", r.micro(2*u, 2))
	}
	for _, b := range l.Lived {
		if b.Share > 0 {
			out = append(out, r.T("page.running.lived", "build", c.build(r, l, b.Build), "gap", r.micro(b.Film.Gap, 2), "clearance", r.micro(b.Clearance, 0),
				"share", r.With(strconv.FormatFloat(100*b.Share, 'f', 0, 64), "%")))
		}
	}
	return append(out, c.worn(r, l)...)
}

func (c *Case) build(r Reader, l *model.Looked, id string) string {
	for _, b := range l.Rig.Running.Lived {
		if b.ID == id {
			return b.Name.In(r.Lang)
		}
	}
	return id
}

// worn says which bearing stands out, or that none does.
func (c *Case) worn(r Reader, l *model.Looked) []string {
	if l.Main > 0 || l.Pin > 0 {
		return nil
	}
	w := l.Worn
	if w == nil {
		return []string{r.T("page.running.none")}
	}
	pct := func(x float64) string { return r.With(strconv.FormatFloat(100*x, 'f', 0, 64), "%") }
	return []string{r.T("page.running.worn", "bearing", c.Part(r, l.Rig.Bearings()[w.Bearing].ID), "clearance", r.micro(w.Clearance.Value, 1),
		"doubt", r.micro(2*w.Clearance.U, 1), "others", r.micro(w.Others, 1), "gap", r.micro(w.Gap, 2), "gapdoubt", r.micro(2*w.U, 2), "usual", r.micro(w.Usual, 2),
		"less", pct(w.Less), "flow", r.Num(strconv.FormatFloat(w.Times, 'f', 1, 64)),
		"peak", r.With(unit.Format(w.Peak, "MPa", 0), "MPa"), "peakusual", r.With(unit.Format(w.PeakUsual, "MPa", 0), "MPa"),
		"rough", r.Num(strconv.FormatFloat(w.Lambda, 'f', 1, 64)))}
}

// study writes clearances tried with oils.
func (c *Case) study(r Reader, l *model.Looked, s *model.Study) *StudyView {
	v := &StudyView{Caption: r.T("page.running.study."+s.Component, "speed", r.With(unit.Format(l.Speed, "rpm", 0), "rpm"), "inlet", r.With(strconv.FormatFloat(l.Inlet, 'f', 0, 64), "°C"))}
	for _, x := range s.Clearances {
		v.Heads = append(v.Heads, r.micro(x, 0))
	}
	name := func(id string) string {
		if o, ok := c.Library.Lubricants().Oil(id); ok {
			return o.Name.In(r.Lang)
		}
		return id
	}
	for i, id := range s.Oils {
		row := StudyRow{Oil: name(id)}
		for k := range s.Cells[i] {
			x := &s.Cells[i][k]
			cell := StudyCell{Text: "–", Best: x == s.Best}
			if x.Bearing >= 0 {
				cell.Text, cell.Doubt = r.micro(x.Gap, 2), r.T("page.running.doubt", "u", r.micro(2*x.U, 2))
			}
			row.Cells = append(row.Cells, cell)
		}
		v.Rows = append(v.Rows, row)
	}
	if b, n := s.Best, s.Next; b != nil && n != nil {
		key := "page.running.best"
		if s.Chance < 0.95 {
			key = "page.running.tie"
		}
		v.Says = r.T(key, "clearance", r.micro(b.Clearance, 0), "oil", name(b.Oil), "bearing", c.Part(r, l.Rig.Bearings()[b.Bearing].ID), "gap", r.micro(b.Gap, 2),
			"more", r.micro(s.More, 2), "doubt", r.micro(2*s.U, 2), "next", r.micro(n.Clearance, 0), "nextoil", name(n.Oil),
			"chance", r.With(strconv.FormatFloat(100*s.Chance, 'f', 0, 64), "%"))
	}
	return v
}

// runWidth is how wide a figure of this page is drawn.
const runWidth, runHeight = 420.0, 320.0

// figure draws one.
func (r Reader) figureOf(id string, h float64, under string, draw func(plot.Canvas)) Figure {
	title := r.T("page.running.figure." + id)
	return Figure{ID: id, Title: title, Under: under, Drawing: Drawing(plot.Inline(runWidth, h, title+". "+under, draw))}
}
