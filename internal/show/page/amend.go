package page

import (
	"io"

	"fettle/internal/show/view"
)

// Amend writes the page of a correction or a withdrawal.
func (p *Pages) Amend(w io.Writer, v view.Amend) error { return p.write(w, v.Lang, "amend", v) }
