package plot

// BudgetBar is one cause of doubt: what it is, its share of the whole from 0
// to 1, and the finished figure.
type BudgetBar struct {
	Label, Figure string
	Share         float64
	Note          string
}

// Budget is an uncertainty budget as bars, in the order given. The first
// bar is drawn heavy: it is the one to mend.
type Budget struct{ Bars []BudgetBar }

const budgetStep = 22.0

// Height returns how high the budget is drawn.
func (b Budget) Height() float64 { return budgetStep * float64(len(b.Bars)) }

// full returns how long a bar of the whole is, so that every bar with its
// figure and note fits in room, with at least a third of it for the bars.
func (b Budget) full(room float64) float64 {
	full := room
	for _, r := range b.Bars {
		words := 6 + Width(r.Figure, SizeSmall, Bold)
		if r.Note != "" {
			words += 9 + Width(r.Note, SizeSmall, Regular)
		}
		if r.Share > 0 {
			full = min(full, (room-words)/min(r.Share, 1))
		}
	}
	return max(full, room/3)
}

// Draw draws the bars, w wide, with the corner at a point: labels in the left
// two fifths, bars beside them from one upright line.
func (b Budget) Draw(c Canvas, at Point, w float64) {
	room := 0.0
	for _, r := range b.Bars {
		room = max(room, Width(r.Label, SizeSmall, Regular))
	}
	room = min(room, w*0.4)
	x0 := at.X + room + 10
	full := b.full(w - room - 10)
	for i, r := range b.Bars {
		y := at.Y + budgetStep*(float64(i)+0.5)
		c.Text(Pt(x0-10, y), Text{S: Fit(r.Label, SizeSmall, Regular, room), Anchor: End, Base: CapMiddle})
		long := full * max(0, min(r.Share, 1))
		fill, weight := InkThin, Regular
		if i == 0 {
			fill, weight = InkPen, Bold
		}
		c.Rect(x0, y-5, long, 10, Style{Fill: fill})
		c.Text(Pt(x0+long+6, y), Text{S: r.Figure, Weight: weight, Base: CapMiddle})
		if x := x0 + long + 6 + Width(r.Figure, SizeSmall, weight) + 8; r.Note != "" && x < at.X+w {
			c.Text(Pt(x, y), Text{S: Fit(r.Note, SizeSmall, Regular, at.X+w-x), Base: CapMiddle, Ink: InkThin})
		}
	}
	c.Line(Pt(x0, at.Y), Pt(x0, at.Y+b.Height()), Style{Stroke: InkPen, Line: Narrow})
}
