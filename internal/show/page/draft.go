package page

import (
	"io"

	"fettle/internal/show/view"
)

// Draft writes the page of a draft.
func (p *Pages) Draft(w io.Writer, v view.Draft) error { return p.write(w, v.Lang, "draft", v) }
