package sheet

import (
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
)

// few is up to how many places a characteristic that is in stands in a list.
const few = 6

// quiet says that a characteristic needs no row of its own: a check that all
// places passed, or a plain reading at few places that are all in.
func quiet(vs []*assess.Value) bool {
	return allIn(vs) && (vs[0].Check || !vs[0].Derived && len(vs) <= few)
}

// quietOnes names what is in and has no row, in two texts: checks that passed,
// and readings with the stretch they cover.
func (b *book) quietOnes(chars [][]*assess.Value) {
	var passed, in []string
	for _, vs := range chars {
		name := vs[0].Place.Char.Name.In(b.r.Lang)
		switch {
		case !quiet(vs):
		case vs[0].Check:
			passed = append(passed, b.r.T("sheet.passed.one", "name", name, "n", b.r.Int(len(vs))))
		default:
			_, lo, hi := ends(vs)
			in = append(in, b.r.T("sheet.in.one", "name", name, "value", b.stretch(lo, hi)))
		}
	}
	if len(in)+len(passed) > 0 {
		b.y += 3
	}
	if len(in) > 0 {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.in", "list", strings.Join(in, "; ")), Size: sizeNote}, 10.2)
		b.y += 3
	}
	if len(passed) > 0 {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.passed", "list", strings.Join(passed, "; ")), Size: sizeNote, Ink: plot.InkThin}, 10.2)
		b.y += 3
	}
}

// allIn says that every place has a value and none is out or undecided.
func allIn(vs []*assess.Value) bool {
	for _, v := range vs {
		if v.Verdict != assess.Accept {
			return false
		}
	}
	return true
}
