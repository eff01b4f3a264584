package page

import (
	"io"

	"fettle/internal/show/view"
)

// Bench writes the page at which readings are typed.
func (p *Pages) Bench(w io.Writer, v view.Bench) error { return p.write(w, v.Lang, "bench", v) }
