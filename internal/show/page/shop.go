package page

import (
	"io"

	"fettle/internal/show/view"
)

// Shop writes the page of all jobs.
func (p *Pages) Shop(w io.Writer, v view.Shop) error { return p.write(w, v.Lang, "shop", v) }
