package page

import (
	"io"

	"fettle/internal/show/view"
)

// Gauges writes the register of gauges and masters.
func (p *Pages) Gauges(w io.Writer, v view.Gauges) error { return p.write(w, v.Lang, "gauges", v) }
