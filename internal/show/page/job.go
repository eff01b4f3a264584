package page

import (
	"io"

	"fettle/internal/show/view"
)

// Job writes the page of one engine.
func (p *Pages) Job(w io.Writer, v view.Job) error { return p.write(w, v.Lang, "job", v) }
