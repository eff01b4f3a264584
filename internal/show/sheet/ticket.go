package sheet

import (
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// Ticket sets the route ticket of one stage: what each place goes from and to,
// the first-piece check, and boxes for the readings behind the cut.
//
// Errors: a fault where the document could not be made.
func Ticket(in Input, t *view.Ticket) ([]byte, error) {
	b := newBook(in)
	b.doc.SetTitle(clean(t.Heading+" "+in.Case.Assessment.Job), true)
	b.open(t.Heading)
	b.para(left, wide, plot.Text{S: b.r.T("sheet.ticket.under")}, 13.5)
	b.y += 4
	for i := range t.Steps {
		b.ticketStep(&t.Steps[i], i+1)
	}
	b.title()
	return output(b.doc)
}

func (b *book) ticketStep(s *view.TicketStep, n int) {
	r := b.r
	b.section(r.Int(n)+"  "+s.Name, 90)
	for _, p := range [][2]string{{"page.work.machine", s.Machine}, {"page.work.takes", s.Takes}, {"page.work.before", s.After}, {"sheet.ticket.places", s.Places},
		{"page.work.first", s.First}, {"page.work.check", s.Check}, {"page.caution", s.Hazard}} {
		b.pair(left, wide, 104, r.T(p[0]), p[1])
	}
	for i := range s.Cautions {
		b.pair(left, wide, 104, r.T("page.caution"), s.Cautions[i].Text)
	}
	for i := range s.Cuts {
		b.ticketCut(&s.Cuts[i])
	}
	for _, k := range s.Reads {
		b.pair(left, wide, 104, r.T("sheet.ticket.reads"), k.Name+" × "+k.Count)
	}
	b.room(30)
	b.y += 14
	third := wide / 3
	for i, key := range []string{"sheet.ticket.by", "sheet.ticket.when", "sheet.ticket.firstok"} {
		x := left + third*float64(i)
		b.c.Line(plot.Pt(x, b.y), plot.Pt(x+third-12, b.y), plot.Style{Stroke: plot.InkPen, Line: plot.Hair})
		b.c.Text(plot.Pt(x, b.y+3), plot.Text{S: r.T(key), Size: sizeNote, Base: plot.CapTop, Ink: plot.InkThin})
	}
	b.y += 18
}

// The measures of a row with boxes to write in, in sheet units.
const (
	ticketBox = 45.0
	ticketRow = 28.0
)

// ticketCut sets one characteristic: a row a place, as many boxes as there are
// readings behind it.
func (b *book) ticketCut(t *view.TicketCut) {
	b.room(60)
	b.y += 4
	b.para(left, wide, plot.Text{S: t.Name + ": " + t.Rule, Size: 10.2, Weight: plot.Bold}, 14)
	cols := []float64{left, left + 76, left + 194, left + 258, left + 322}
	head := func() {
		for i, key := range []string{"page.table.place", "page.ticket.from", "page.ticket.to", "page.ticket.tolerance", "page.ticket.after"} {
			b.c.Text(plot.Pt(cols[i], b.y), plot.Text{S: b.r.T(key), Size: sizeNote, Base: plot.CapTop, Ink: plot.InkThin})
		}
		b.y += 11
	}
	head()
	each := max(1, int((right-cols[4])/(ticketBox+4)))
	for i := range t.Rows {
		p := &t.Rows[i]
		lines := (len(p.Boxes) + each - 1) / each
		h := ticketRow * float64(max(1, lines))
		if b.room(h) {
			head()
		}
		where := p.Where
		if where == "" {
			where = t.Name
		}
		for k, s := range []string{where, p.From, p.To, p.Within} {
			text := plot.Text{Size: sizeFine, Base: plot.CapMiddle}
			if k == 2 {
				text.Weight = plot.Bold
			}
			if k == 2 && s == "" { // to be written in
				b.c.Rect(cols[k], b.y+3, ticketBox, ticketRow-8, plot.Style{Stroke: plot.InkPen, Line: plot.Hair})
				continue
			}
			text.S = plot.Fit(clean(s), sizeFine, text.Weight, cols[k+1]-cols[k]-6)
			b.c.Text(plot.Pt(cols[k], b.y+ticketRow/2), text)
		}
		for k, box := range p.Boxes {
			x, y := cols[4]+(ticketBox+4)*float64(k%each), b.y+ticketRow*float64(k/each)
			b.c.Text(plot.Pt(x, y+1), plot.Text{S: plot.Fit(clean(box.Label), sizeNote, plot.Regular, ticketBox), Size: sizeNote, Base: plot.CapTop, Ink: plot.InkThin})
			b.c.Rect(x, y+10, ticketBox, ticketRow-14, plot.Style{Stroke: plot.InkPen, Line: plot.Hair})
			b.c.Text(plot.Pt(x+4, y+10+(ticketRow-14)/2), plot.Text{S: plot.Fit(clean(box.Value), sizeFine, plot.Regular, ticketBox-8), Size: sizeFine, Base: plot.CapMiddle})
		}
		b.y += h
		b.faint()
		b.y += 2
	}
	b.y += 6
}
