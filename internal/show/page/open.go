package page

import (
	"io"

	"fettle/internal/show/view"
)

// Open writes the page on which a job is opened.
func (p *Pages) Open(w io.Writer, v view.Open) error { return p.write(w, v.Lang, "open", v) }
