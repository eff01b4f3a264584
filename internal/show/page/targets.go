package page

import (
	"io"

	"fettle/internal/show/view"
)

// Targets writes the page of a job's machining sizes.
func (p *Pages) Targets(w io.Writer, v view.Targets) error { return p.write(w, v.Lang, "targets", v) }
