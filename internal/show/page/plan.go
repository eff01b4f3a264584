package page

import (
	"io"

	"fettle/internal/show/view"
)

// Plan writes the page of what is to be done with an engine.
func (p *Pages) Plan(w io.Writer, v view.Plan) error { return p.write(w, v.Lang, "plan", v) }
