package page

import (
	"io"

	"fettle/internal/show/view"
)

// Shelf writes the page of the shelf.
func (p *Pages) Shelf(w io.Writer, v view.Shelf) error { return p.write(w, v.Lang, "shelf", v) }

// Lot writes the page of one lot.
func (p *Pages) Lot(w io.Writer, v view.Lot) error { return p.write(w, v.Lang, "lot", v) }

// Parts writes the page of the parts of a job.
func (p *Pages) Parts(w io.Writer, v view.PartsPage) error { return p.write(w, v.Lang, "parts", v) }
