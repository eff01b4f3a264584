package page

import (
	"io"

	"fettle/internal/show/view"
)

// Import writes the page on which a file of readings is taken in.
func (p *Pages) Import(w io.Writer, v view.Import) error { return p.write(w, v.Lang, "import", v) }
