package page

import (
	"io"

	"fettle/internal/show/view"
)

// DraftSheet writes a sheet on which a draft is changed.
func (p *Pages) DraftSheet(w io.Writer, v view.DraftSheet) error {
	return p.write(w, v.Lang, "draftsheet", v)
}
