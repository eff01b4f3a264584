package page

import (
	"io"

	"fettle/internal/show/view"
)

// Work writes the page of the work on a job.
func (p *Pages) Work(w io.Writer, v view.Work) error { return p.write(w, v.Lang, "work", v) }
