package page

import (
	"io"

	"fettle/internal/show/view"
)

// Clean writes the page of cleaning and testing, of all components or of one.
func (p *Pages) Clean(w io.Writer, v view.Clean) error { return p.write(w, v.Lang, "clean", v) }
