package page

import (
	"io"

	"fettle/internal/show/view"
)

// Problem writes the page that says what went wrong.
func (p *Pages) Problem(w io.Writer, v view.Problem) error { return p.write(w, v.Lang, "problem", v) }
