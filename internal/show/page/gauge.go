package page

import (
	"io"

	"fettle/internal/show/view"
)

// Gauge writes the page of one gauge.
func (p *Pages) Gauge(w io.Writer, v view.Gauge) error { return p.write(w, v.Lang, "gauge", v) }
