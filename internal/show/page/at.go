package page

import (
	"io"

	"fettle/internal/show/view"
)

// At writes the page of one value.
func (p *Pages) At(w io.Writer, v view.At) error { return p.write(w, v.Lang, "at", v) }
