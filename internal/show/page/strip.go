package page

import (
	"io"

	"fettle/internal/show/view"
)

// Strip writes the page of taking an engine down.
func (p *Pages) Strip(w io.Writer, v view.Strip) error { return p.write(w, v.Lang, "strip", v) }
