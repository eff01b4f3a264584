package page

import (
	"io"

	"fettle/internal/show/view"
)

// Part writes the page of one component.
func (p *Pages) Part(w io.Writer, v view.Part) error { return p.write(w, v.Lang, "part", v) }
