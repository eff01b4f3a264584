package draw

import "fettle/internal/show/plot"

// tally draws the places of one dimension in a row, each with its index and
// the cells of its pattern.
func (s *sheet) tally(dim string) view {
	pat, values := s.grid(dim), s.l.Dims[dim].Values
	if dim == "cyl" && s.e.Layout != "inline" {
		values = nil
		for _, row := range s.g.inRows() {
			for _, c := range row {
				values = append(values, s.l.Dims["cyl"].Values[c-1])
			}
		}
	}
	most := 0.0
	for _, v := range values {
		most = max(most, plot.Width(v, plot.SizeText, plot.Bold))
	}
	step := max(pat.w()+18, most+16, 44)
	per := max(1, min(len(values), int((full-60)/step)))
	step = max(step, min(120, (full-60)/float64(max(per, 1))))
	rows := (len(values) + per - 1) / per
	high := 30 + max(pat.h(), touch) + 16
	return view{step*float64(per) + 40, high * float64(rows), func(at plot.Point) {
		for i, v := range values {
			p := at.Add(20+step*(float64(i%per)+0.5), high*float64(i/per))
			number(s.c, p.Add(0, 10), v)
			frame := p.Add(-pat.w()/2, 30)
			s.c.Rect(frame.X-5, frame.Y-3, pat.w()+10, max(pat.h(), touch)+6, fine())
			ln := pat.even()
			for k, name := range pat.cols {
				small(s.c, frame.Add(ln.x[k], max(pat.h(), touch)+11), name)
			}
			if i%per == 0 {
				for k, name := range pat.rows {
					s.c.Text(frame.Add(-8, ln.y[k]), plot.Text{S: name, Anchor: plot.End, Base: plot.CapMiddle, Ink: plot.InkThin})
				}
			}
			pat.seats(frame, ln, v)
		}
	}}
}
