package page

import (
	"io"

	"fettle/internal/show/view"
)

// Cautions writes the page of cautions.
func (p *Pages) Cautions(w io.Writer, v view.Cautions) error {
	return p.write(w, v.Lang, "cautions", v)
}
