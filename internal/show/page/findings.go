package page

import (
	"io"

	"fettle/internal/show/view"
)

// Findings writes the page of a job's findings.
func (p *Pages) Findings(w io.Writer, v view.Findings) error {
	return p.write(w, v.Lang, "findings", v)
}
