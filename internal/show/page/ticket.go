package page

import (
	"io"

	"fettle/internal/show/view"
)

// Ticket writes the route ticket of one stage of a job.
func (p *Pages) Ticket(w io.Writer, v view.Ticket) error { return p.write(w, v.Lang, "ticket", v) }
