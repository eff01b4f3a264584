package page

import (
	"io"

	"fettle/internal/show/view"
)

// Family writes the page of a family's limits.
func (p *Pages) Family(w io.Writer, v view.Family) error { return p.write(w, v.Lang, "family", v) }
