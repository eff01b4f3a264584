package page

import (
	"io"

	"fettle/internal/show/view"
)

// Causes writes the guide to causes.
func (p *Pages) Causes(w io.Writer, v view.Causes) error { return p.write(w, v.Lang, "causes", v) }
