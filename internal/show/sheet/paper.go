package sheet

import (
	"codeberg.org/go-pdf/fpdf"

	"fettle/internal/base/fault"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// Paper sets a sheet to be filled in by hand, on A4 or Letter: one box for a
// digit, the unit in every row. when is the time that the file bears, page
// makes "sheet 1 of 3".
//
// Errors: missing for another paper; broken where the document could not be
// made.
func Paper(p view.PaperSheet, size string, when int64, program string, page func(n, m int) string) ([]byte, error) {
	if size != "A4" && size != "Letter" {
		return nil, fault.New(fault.Missing, "sheet.no-size", "found", size)
	}
	doc := fpdf.New("P", "mm", size, "")
	stamp(doc, when, program)
	doc.SetTitle(clean(p.Title), true)
	wmm, hmm := doc.GetPageSize()
	f := &form{doc: doc, p: &p, w: wmm / plot.NaturalMM, h: hmm / plot.NaturalMM, page: page}
	if err := f.open(true); err != nil {
		return nil, err
	}
	for i := range p.Groups {
		if err := f.group(&p.Groups[i]); err != nil {
			return nil, err
		}
	}
	f.numbers()
	return output(doc)
}

// The measures of a form, in sheet units.
const (
	formEdge = 48.0
	formRow  = 24.0 // 6.4 mm: a box that takes a digit of a cold hand
	formBox  = 19.0
	formGap  = 24.0
)

// form is such a sheet while it is set, in two columns.
type form struct {
	doc  *fpdf.Fpdf
	c    plot.Canvas
	p    *view.PaperSheet
	page func(n, m int) string
	w, h float64
	col  int
	x, y float64
	top  float64
}

func (f *form) width() float64 { return (f.w - 2*formEdge - formGap) / 2 }

func (f *form) text(x, y float64, s string, t plot.Text) {
	t.S, t.Base = s, plot.CapTop
	f.c.Text(plot.Pt(x, y), t)
}

// open begins a page: title and code on each, the lines to write on the first.
func (f *form) open(first bool) error {
	f.doc.AddPage()
	f.c = cleaned{plot.NewPDF(f.doc, 0, 0, plot.NaturalMM)}
	code, err := plot.QR(f.p.Code, plot.LevelM)
	if err != nil {
		return err
	}
	const side = 84.0
	code.Draw(f.c, plot.Pt(f.w-formEdge-side, 28), side)
	room := f.w - 2*formEdge - side - 16
	f.text(formEdge, 36, plot.Fit(clean(f.p.Title), plot.SizeHead, plot.Bold, room), plot.Text{Size: plot.SizeHead, Weight: plot.Bold})
	f.text(formEdge, 62, plot.Fit(clean(f.p.Under), plot.SizeSmall, plot.Regular, room), plot.Text{Size: plot.SizeSmall})
	y := 84.0
	if first {
		x := formEdge
		for _, k := range f.p.Head {
			w := room/4 - 8
			if x+w > formEdge+room {
				x, y = formEdge, y+30
			}
			f.text(x, y, plot.Fit(clean(k.Name), sizeNote, plot.Regular, w), plot.Text{Size: sizeNote, Ink: plot.InkThin})
			f.c.Line(plot.Pt(x, y+25), plot.Pt(x+w, y+25), plot.Style{Stroke: plot.InkPen, Line: plot.Hair})
			x += w + 8
		}
		y += 40
	}
	f.top = max(y, 28+side+8)
	f.c.Line(plot.Pt(formEdge, f.top), plot.Pt(f.w-formEdge, f.top), plot.Style{Stroke: plot.InkPen, Line: plot.Wide})
	f.top += 10
	f.col, f.x, f.y = 0, formEdge, f.top
	return nil
}

// room makes sure that h fits, else goes to the next column or page; moved says
// that it did.
func (f *form) room(h float64) (moved bool, err error) {
	if f.y+h <= f.h-formEdge {
		return false, nil
	}
	if f.col == 0 {
		f.col, f.x, f.y = 1, formEdge+f.width()+formGap, f.top
		return true, nil
	}
	return true, f.open(false)
}

func (f *form) group(g *view.PaperGroup) error {
	if _, err := f.room(f.headed(g) + 2*formRow); err != nil {
		return err
	}
	f.head(g)
	for i := range g.Rows {
		moved, err := f.room(formRow)
		if err != nil {
			return err
		}
		if moved {
			f.head(g)
		}
		f.row(&g.Rows[i])
	}
	f.y += 8
	return nil
}

// lead of the lines above a group.
const formLead = 11.0

// said are the lines above a group.
func (f *form) said(g *view.PaperGroup) []plot.Text {
	var out []plot.Text
	add := func(s string, t plot.Text, most int) {
		for _, line := range plot.Wrap(clean(s), t.Size, t.Weight, f.width(), most) {
			t.S = line
			out = append(out, t)
		}
	}
	add(g.Name, plot.Text{Size: 10.2, Weight: plot.Bold}, 2)
	if g.Limits != "" {
		add(g.Limits, plot.Text{Size: sizeNote}, 2)
	}
	if g.Gauge != "" {
		add(g.Gauge, plot.Text{Size: sizeNote, Ink: plot.InkThin}, 1)
	}
	return out
}

func (f *form) headed(g *view.PaperGroup) float64 {
	return formLead*float64(len(f.said(g))) + 14*float64(len(g.Conditions)) + 4
}

func (f *form) head(g *view.PaperGroup) {
	for _, t := range f.said(g) {
		f.text(f.x, f.y, t.S, t)
		f.y += formLead
	}
	for _, k := range g.Conditions { // to be ticked
		f.c.Rect(f.x, f.y, 9, 9, plot.Style{Stroke: plot.InkPen, Line: plot.Hair})
		f.text(f.x+14, f.y+1, plot.Fit(clean(k), sizeNote, plot.Regular, f.width()-14), plot.Text{Size: sizeNote})
		f.y += 14
	}
	f.y += 4
}

// row sets one place: where, the boxes with the mark between, the unit.
func (f *form) row(r *view.PaperRow) {
	pen := plot.Style{Stroke: plot.InkPen, Line: plot.Hair}
	end := f.x + f.width()
	boxes := r.Whole + r.Decimals
	if r.Signed {
		boxes++
	}
	at := end - 34 - formBox*float64(boxes)
	if len(r.Check) > 0 {
		at = end - 150
	}
	mid := f.y + formRow/2
	lines := plot.Wrap(clean(r.Where), sizeFine, plot.Regular, at-f.x-6, 2)
	for i, line := range lines {
		f.c.Text(plot.Pt(f.x, mid+10*(float64(i)-float64(len(lines)-1)/2)), plot.Text{S: line, Size: sizeFine, Base: plot.CapMiddle})
	}
	if len(r.Check) > 0 {
		for i, s := range r.Check {
			x := at + 75*float64(i)
			f.c.Rect(x, mid-6, 12, 12, pen)
			f.c.Text(plot.Pt(x+17, mid), plot.Text{S: plot.Fit(clean(s), sizeFine, plot.Regular, 56), Size: sizeFine, Base: plot.CapMiddle})
		}
	} else {
		f.boxes(r, at, pen)
		f.c.Text(plot.Pt(end-28, mid), plot.Text{S: r.Unit, Size: sizeFine, Base: plot.CapMiddle})
	}
	f.y += formRow
}

func (f *form) boxes(r *view.PaperRow, x float64, pen plot.Style) {
	const high = formRow - 4
	if r.Signed {
		f.c.Text(plot.Pt(x+formBox/2, f.y+formRow/2), plot.Text{S: "±", Size: sizeFine, Base: plot.CapMiddle, Anchor: plot.Middle, Ink: plot.InkThin})
		f.c.Rect(x, f.y+2, formBox, high, pen)
		x += formBox
	}
	for i := range r.Whole + r.Decimals {
		f.c.Rect(x+formBox*float64(i), f.y+2, formBox, high, pen)
	}
	if r.Decimals > 0 { // the mark sits on the line, heavy
		m := x + formBox*float64(r.Whole)
		f.c.Line(plot.Pt(m, f.y+2), plot.Pt(m, f.y+2+high), plot.Style{Stroke: plot.InkPen, Line: plot.Heavy})
		f.c.Circle(plot.Pt(m, f.y+2+high), 2.2, plot.Style{Fill: plot.InkPen})
	}
}

// numbers writes the foot of every page, now that their number is known.
func (f *form) numbers() {
	m := f.doc.PageNo()
	for n := 1; n <= m; n++ {
		f.doc.SetPage(n)
		c := cleaned{plot.NewPDF(f.doc, 0, 0, plot.NaturalMM)}
		c.Text(plot.Pt(formEdge, f.h-30), plot.Text{S: plot.Fit(clean(f.p.Foot), sizeNote, plot.Regular, f.w-2*formEdge-120), Size: sizeNote, Base: plot.CapMiddle, Ink: plot.InkThin})
		c.Text(plot.Pt(f.w-formEdge, f.h-30), plot.Text{S: f.page(n, m), Size: sizeNote, Base: plot.CapMiddle, Anchor: plot.End})
	}
}
