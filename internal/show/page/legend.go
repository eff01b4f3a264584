package page

import (
	"io"

	"fettle/internal/show/view"
)

// Legend writes the page that explains bars and marks.
func (p *Pages) Legend(w io.Writer, v view.Legend) error { return p.write(w, v.Lang, "legend", v) }
