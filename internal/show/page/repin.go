package page

import (
	"io"

	"fettle/internal/show/view"
)

// Repin writes the page of a job's move to another version of its family.
func (p *Pages) Repin(w io.Writer, v view.Repin) error { return p.write(w, v.Lang, "repin", v) }
