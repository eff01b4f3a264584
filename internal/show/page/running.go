package page

import (
	"io"

	"fettle/internal/show/view"
)

// Running writes the page of an engine as it runs.
func (p *Pages) Running(w io.Writer, v view.Running) error { return p.write(w, v.Lang, "running", v) }

// RunningPart writes what changes on it with every move of a slider.
func (p *Pages) RunningPart(w io.Writer, lang string, v view.RunningPart) error {
	return p.write(w, lang, "runningpart", v)
}
