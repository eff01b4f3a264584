package sheet

import (
	"strings"

	"codeberg.org/go-pdf/fpdf"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// The A4 sheet in sheet units, after ISO 5457: a frame with a wider margin on
// the side where sheets are bound, centring marks, the title block at its foot.
const (
	paperW, paperH = 210 / plot.NaturalMM, 297 / plot.NaturalMM
	frameL, frameT = 56.0, 30.0
	frameR, frameB = paperW - 30, paperH - 30
	pad            = 12.0
	left, right    = frameL + pad, frameR - pad
	top            = frameT + pad
	wide           = right - left
	bottom         = frameB - plot.TitleBlockHeight - 5
)

// The sizes of type beside those of plot.
const (
	sizeHuge = 28.0
	sizeFine = 9.2 // 6.9 pt
	sizeNote = 8.8 // 6.6 pt: the readings
)

// leaf is one sheet: the components that its title block names.
type leaf struct{ parts []string }

// book is the record while it is being set: it draws at once and keeps only
// what the title blocks need, which are drawn when the number of sheets is
// known.
type book struct {
	Input
	r      view.Reader
	doc    *fpdf.Fpdf
	c      plot.Canvas
	leaves []leaf
	x, w   float64 // of the column that is being set
	y      float64
	col    int // which column, of how many, and where they begin
	cols   int
	head   float64
	deep   float64                      // the foot of the columns that are full
	again  string                       // heading of a sheet that goes on
	chars  map[string][][]*assess.Value // of each component
	part   string                       // component that is being set, "" outside the parts
}

// open begins a new sheet with its heading.
func (b *book) open(heading string) {
	b.again = heading
	b.turn(heading)
	b.doc.Bookmark(clean(heading), 0, 0)
}

// chapter sets a sheet's heading in the column, below what stands there.
func (b *book) chapter(s string, keep float64) {
	if b.y+40+keep > bottom {
		if n := b.cols; b.col+1 == n {
			b.open(s)
			b.columns(n)
			return
		}
		b.room(bottom)
	}
	b.again = s
	b.y += 6
	b.rule(plot.Wide)
	b.y += 10
	b.doc.Bookmark(clean(s), 0, 0)
	b.para(b.x, b.w, plot.Text{S: s, Size: plot.SizeHead, Weight: plot.Bold}, 24)
	b.y += 4
}

// turn begins the next sheet of the same subject.
func (b *book) turn(heading string) {
	b.doc.AddPage()
	b.c = b.pen()
	b.leaves = append(b.leaves, leaf{})
	b.on(b.part)
	b.paper()
	b.y = top
	b.columns(1)
	if heading != "" {
		b.c.Text(plot.Pt(left, b.y), plot.Text{S: plot.Fit(heading, plot.SizeHead, plot.Bold, wide), Size: plot.SizeHead, Weight: plot.Bold, Base: plot.CapTop})
		b.y += 28
		b.columns(1)
	}
}

// gutter is the space between columns.
const gutter = 22.0

// columns begins n columns at this height.
func (b *book) columns(n int) {
	b.cols, b.col, b.head, b.deep = n, 0, b.y, b.y
	b.x, b.w = left, (wide-gutter*float64(n-1))/float64(n)
}

// across ends the columns: what follows stands below the longest.
func (b *book) across() {
	b.y = max(b.y, b.deep)
	b.columns(1)
}

// room makes sure that h fits in this column, else goes on in the next one.
func (b *book) room(h float64) bool {
	if b.y+h <= bottom {
		return false
	}
	b.deep = max(b.deep, b.y)
	if b.col+1 < b.cols {
		b.col++
		b.x += b.w + gutter
		b.y = b.head
		return true
	}
	n := b.cols
	b.turn(b.r.T("sheet.continued", "heading", b.again))
	b.columns(n)
	return true
}

// on notes that a component stands on this sheet.
func (b *book) on(part string) {
	l := &b.leaves[len(b.leaves)-1]
	if part != "" && !contains(l.parts, part) {
		l.parts = append(l.parts, part)
	}
}

// block is the title block of a sheet that shows some components; one that
// shows none or several speaks of the whole engine. Blocks that were made are
// kept in made.
func (b *book) block(parts []string, made map[string]plot.TitleBlock) plot.TitleBlock {
	part := ""
	if len(parts) == 1 {
		part = parts[0]
	}
	block, ok := made[part]
	if !ok {
		block = b.Case.Block(b.r, part, b.Case.LastState(part), "")
		made[part] = block
	}
	if len(parts) > 1 {
		names := make([]string, len(parts))
		for k, id := range parts {
			names[k] = b.Case.Part(b.r, id)
		}
		block.Part.Text = strings.Join(names, ", ")
	}
	return block
}

// pen is a canvas on the page that the document is at; its font is not known.
func (b *book) pen() plot.Canvas {
	return pen{plot.NewPDF(b.doc, 0, 0, plot.NaturalMM), b.doc, &font{}}
}

// paper draws the frame with its centring marks.
func (b *book) paper() {
	edge := plot.Style{Stroke: plot.InkPen, Line: plot.Wide}
	b.c.Rect(frameL, frameT, frameR-frameL, frameB-frameT, edge)
	cx, cy := paperW/2, paperH/2
	b.c.Line(plot.Pt(cx, frameT-14), plot.Pt(cx, frameT), edge)
	b.c.Line(plot.Pt(cx, frameB), plot.Pt(cx, frameB+14), edge)
	b.c.Line(plot.Pt(frameL-14, cy), plot.Pt(frameL, cy), edge)
	b.c.Line(plot.Pt(frameR, cy), plot.Pt(frameR+14, cy), edge)
}

// title draws the title block of every sheet, now that their number is known.
func (b *book) title() {
	n := len(b.leaves)
	blocks := map[string]plot.TitleBlock{}
	for i, l := range b.leaves {
		b.doc.SetPage(i + 1)
		c := b.pen()
		block := b.block(l.parts, blocks)
		block.Sheet.Text = b.r.T("sheet.number", "n", b.r.Int(i+1), "m", b.r.Int(n))
		block.Draw(c, plot.Pt(frameL+8, frameB-plot.TitleBlockHeight), frameR-frameL-16)
	}
}
