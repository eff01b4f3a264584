package plot

// Inline returns what draw puts on a sheet w by h, as SVG for a page that
// carries CSS(). An empty label marks a drawing that only repeats the words
// beside it.
func Inline(w, h float64, label string, draw func(Canvas)) string {
	s := NewSVG(w, h, label)
	draw(s)
	return s.String()
}

// RowSVG returns the bar for a table cell.
func (b LimitBar) RowSVG() string {
	return Inline(RowWidth, RowHeight, b.Labels.Title, func(c Canvas) { b.Row(c, Point{}, RowWidth) })
}

// LargeSVG returns the bar for a value's own page.
func (b LimitBar) LargeSVG() string {
	return Inline(LargeWidth, LargeHeight, b.Labels.Title, func(c Canvas) { b.Large(c, Point{}, LargeWidth) })
}

// SVG returns the plate for a page; its words are in the drawing and, as its
// label, beside it.
func (m Mark) SVG() string {
	label := m.Word
	if m.Amount != "" {
		label += " " + m.Amount
	}
	return Inline(m.Width(), MarkHeight, label, func(c Canvas) { m.Draw(c, Point{}) })
}
