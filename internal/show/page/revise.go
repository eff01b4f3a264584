package page

import (
	"io"

	"fettle/internal/show/view"
)

// Revise writes the page on which a draft of a family begins.
func (p *Pages) Revise(w io.Writer, v view.Revise) error { return p.write(w, v.Lang, "revise", v) }
