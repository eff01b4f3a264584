package page

import (
	"io"

	"fettle/internal/show/view"
)

// Transcribe writes the page on which a sheet filled in by hand is typed in.
func (p *Pages) Transcribe(w io.Writer, v view.Transcribe) error {
	return p.write(w, v.Lang, "transcribe", v)
}
