package page

import (
	"io"

	"fettle/internal/show/view"
)

// Photo writes the page of one photo.
func (p *Pages) Photo(w io.Writer, v view.PhotoPage) error { return p.write(w, v.Lang, "photo", v) }

// PhotoNew writes the form of a photo on a page of its own.
func (p *Pages) PhotoNew(w io.Writer, v view.PhotoNew) error {
	return p.write(w, v.Lang, "photonew", v)
}
