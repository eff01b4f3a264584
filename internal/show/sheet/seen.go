package sheet

import (
	"strings"

	"fettle/internal/show/plot"
)

// seen sets what people saw on a component: what is there, each with who and
// when, then in one line what was looked for and is not there.
func (b *book) seen(component string) {
	var absent []string
	for i := range b.Case.Job.Observations {
		o := &b.Case.Job.Observations[i]
		if id, _, _ := cut(o.Part); id != component {
			continue
		}
		if o.Absent {
			absent = append(absent, strings.TrimSpace(b.Case.SeenName(b.r, o)+" "+o.Note))
			continue
		}
		s := b.r.T("sheet.saw", "seen", strings.TrimSuffix(b.Case.SeenWords(b.r, o), "."), "note", o.Note, "who", b.Case.Person(o.Person), "when", b.r.Date(o.Time))
		b.para(b.x, b.w, plot.Text{S: s, Size: sizeFine}, 11)
	}
	if len(absent) > 0 {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.saw.absent", "list", strings.Join(absent, "; ")), Size: sizeFine}, 11)
	}
}
