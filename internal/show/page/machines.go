package page

import (
	"io"

	"fettle/internal/show/view"
)

// Machines writes the page of the shop's machines and fixtures.
func (p *Pages) Machines(w io.Writer, v view.Machines) error {
	return p.write(w, v.Lang, "machines", v)
}
