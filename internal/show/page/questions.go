package page

import (
	"io"

	"fettle/internal/show/view"
)

// Questions writes the page of a job's questions.
func (p *Pages) Questions(w io.Writer, v view.Questions) error {
	return p.write(w, v.Lang, "questions", v)
}
