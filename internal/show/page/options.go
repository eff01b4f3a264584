package page

import (
	"io"

	"fettle/internal/show/view"
)

// Options writes the page of what a customer chooses between.
func (p *Pages) Options(w io.Writer, v view.Options) error { return p.write(w, v.Lang, "choices", v) }

// Money writes the page of what was agreed, asked for and paid.
func (p *Pages) Money(w io.Writer, v view.Money) error { return p.write(w, v.Lang, "money", v) }
