package page

import (
	"io"

	"fettle/internal/show/view"
)

// Intake writes the page of an engine as it came in.
func (p *Pages) Intake(w io.Writer, v view.Intake) error { return p.write(w, v.Lang, "intake", v) }
