package page

import (
	"io"

	"fettle/internal/show/view"
)

// Settings writes the page of a reader's settings.
func (p *Pages) Settings(w io.Writer, v view.Settings) error {
	return p.write(w, v.Lang, "settings", v)
}
