package page

import (
	"io"

	"fettle/internal/show/view"
)

// Consequences writes the page of what a cut will do.
func (p *Pages) Consequences(w io.Writer, v view.Consequences) error {
	return p.write(w, v.Lang, "consequences", v)
}

// ConsequencesPart writes what changes on it with every move of a slider.
func (p *Pages) ConsequencesPart(w io.Writer, lang string, v view.ConsequencesPart) error {
	return p.write(w, lang, "consequencespart", v)
}
