package plot

// Field is one cell of a title block: a finished caption and a finished text.
type Field struct{ Caption, Text string }

// TitleBlock is the foot of every sheet, after the plan of ISO 7200: what the
// sheet is about, who stands for it, and which sheet it is. Pages build a
// real element from the same fields.
type TitleBlock struct {
	Job, Part, Family, State      Field
	MeasuredBy, Temperature, When Field
	Sheet, Head                   Field
}

// TitleBlockHeight is how high the block is drawn.
const TitleBlockHeight = 76.0

// cell is a field with its share of the width.
type cell struct {
	Field
	share float64
}

// rows returns the two lines of cells; the shares of a line add up to one.
func (t TitleBlock) rows() [2][]cell {
	return [2][]cell{
		{{t.Job, 0.22}, {t.Part, 0.28}, {t.Family, 0.22}, {t.State, 0.28}},
		{{t.MeasuredBy, 0.22}, {t.Temperature, 0.28}, {t.When, 0.22}, {t.Head, 0.14}, {t.Sheet, 0.14}},
	}
}

// Fields returns the cells in reading order, for a page.
func (t TitleBlock) Fields() []Field {
	var out []Field
	for _, r := range t.rows() {
		for _, c := range r {
			out = append(out, c.Field)
		}
	}
	return out
}

// Draw draws the block w wide with its corner at a point.
func (t TitleBlock) Draw(c Canvas, at Point, w float64) {
	const h = TitleBlockHeight / 2
	thin := Style{Stroke: InkPen, Line: Hair}
	c.Line(at, at.Add(w, 0), Style{Stroke: InkPen, Line: Wide})
	c.Line(at.Add(0, h), at.Add(w, h), thin)
	c.Line(at.Add(0, 2*h), at.Add(w, 2*h), Style{Stroke: InkPen, Line: Narrow})
	for i, r := range t.rows() {
		x, y := at.X, at.Y+h*float64(i)
		for j, k := range r {
			if j > 0 {
				c.Line(Pt(x, y), Pt(x, y+h), thin)
			}
			k.draw(c, Pt(x, y), w*k.share, j == 0)
			x += w * k.share
		}
	}
}

const captionSize = 8.0

// draw sets the caption small at the top and the text under it: on one line
// if it fits, smaller on two if not.
func (k cell) draw(c Canvas, at Point, w float64, first bool) {
	pad := 6.0
	if first {
		pad = 0
	}
	room := w - pad - 4
	c.Text(at.Add(pad, 5), Text{S: Fit(k.Caption, captionSize, Regular, room), Size: captionSize, Base: CapTop, Ink: InkThin})
	if Width(k.Text, 12, Bold) <= room {
		c.Text(at.Add(pad, 31), Text{S: k.Text, Size: 12, Weight: Bold})
		return
	}
	for i, line := range Wrap(k.Text, 9, Bold, room, 2) {
		c.Text(at.Add(pad, 24+10*float64(i)), Text{S: line, Size: 9, Weight: Bold})
	}
}
