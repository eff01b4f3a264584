package page

import (
	"io"

	"fettle/internal/show/view"
)

// Log writes the page of a job's entries.
func (p *Pages) Log(w io.Writer, v view.Log) error { return p.write(w, v.Lang, "log", v) }
