package sheet

import (
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/show/plot"
)

// shownUndecided is how many undecided values are named one by one.
const shownUndecided = 30

// undecided sets what is not settled: open questions, values that the doubt
// leaves undecided with the act that would decide each, and what was not
// measured. Answered questions stand behind the open ones.
func (b *book) undecided() {
	b.chapter(b.r.T("sheet.open.title"), 80)
	b.questions()
	b.doubtful()
	b.missing()
	b.across()
}

func (b *book) questions() {
	all := b.Case.QuestionsAsked(b.r)
	b.section(b.r.T("sheet.questions.title"), 40)
	if len(all) == 0 {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.questions.none")}, 13)
	}
	for _, q := range all {
		answer := b.r.T("sheet.question.open")
		if !q.IsOpen {
			answer = q.Answer
			if q.Reason != "" {
				answer = b.r.T("sheet.question.answered", "answer", q.Answer, "reason", q.Reason)
			}
		}
		b.room(26)
		b.para(b.x, b.w, plot.Text{S: q.Where, Size: 10.2, Weight: weight(q.IsOpen)}, 12)
		b.para(b.x+10, b.w-10, plot.Text{S: q.Text + " " + answer, Size: 10.2}, 12)
		b.y += 3
	}
}

// doubtful lists the undecided values with the cheapest act.
func (b *book) doubtful() {
	c, r := b.Case, b.r
	n := 0
	b.section(r.T("sheet.undecided.title"), 40)
	for _, v := range c.Values("") {
		if v.Verdict != assess.Undecided {
			continue
		}
		if n++; n > shownUndecided {
			continue
		}
		limit := ""
		if l := c.Limits(r, v); l != nil {
			limit = l.Range
		}
		b.room(44)
		plot.Sign(b.c, plot.Pt(b.x+6, b.y+4), 5.4, plot.Undecided)
		b.para(b.x+16, b.w-16, plot.Text{S: c.Place(r, v.Position), Size: 10.2, Weight: plot.Bold}, 12)
		b.bar(v, 16, limit)
		b.para(b.x+16, b.w-16, plot.Text{S: strings.TrimSpace(c.Doubt(r, v) + "  " + c.Say(r, v.Act)), Size: 10.2}, 12)
		b.y += 3
	}
	if n == 0 {
		b.para(b.x, b.w, plot.Text{S: r.T("sheet.undecided.none")}, 13)
	}
	if n > shownUndecided {
		b.para(b.x, b.w, plot.Text{S: r.N("sheet.undecided.more", n-shownUndecided), Ink: plot.InkThin}, 13)
	}
}

// missing lists what was not measured, one line a characteristic.
func (b *book) missing() {
	var order []string
	at := map[string][]*assess.Value{}
	for _, v := range b.Case.Values("") {
		if v.Verdict != assess.Unmeasured || v.Place == nil {
			continue
		}
		id := v.Place.Char.ID
		if at[id] == nil {
			order = append(order, id)
		}
		at[id] = append(at[id], v)
	}
	b.section(b.r.T("sheet.missing.title"), 30)
	if len(order) == 0 {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.missing.none")}, 15)
		return
	}
	for _, id := range order {
		b.missed(at[id])
	}
	b.y += 4
}

// missed names a characteristic with the places of it that have no value.
func (b *book) missed(vs []*assess.Value) {
	comp := b.Case.Part(b.r, vs[0].Place.Char.Component())
	head := []piece{{text: b.r.T("sheet.missing.of", "component", comp, "name", vs[0].Place.Char.Name.In(b.r.Lang))}}
	var items []item
	if len(vs) == len(b.Case.Layout.Of(vs[0].Place.Char.ID)) && len(vs) > 1 {
		head = append(head, piece{text: b.r.T("sheet.missing.all", "n", b.r.Int(len(vs))), ink: plot.InkThin})
	} else {
		for _, v := range vs {
			items = append(items, item{label: strings.Join(v.Place.At, "/")})
		}
	}
	b.run(head, items)
	b.y += 2
}
