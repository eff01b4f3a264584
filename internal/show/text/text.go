// Package text sets an assessment as plain text: a table that a person can
// read in a terminal or a file. It places finished words and values.
package text

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"fettle/internal/judge/assess"
	"fettle/internal/know/finding"
	"fettle/internal/show/view"
)

// The narrowest and the widest text that is set.
const (
	least = 60
	most  = 200
)

// Table sets a whole assessment: what came of it, the findings, what is not
// settled, the machining sizes, then every value by system.
//
// Shapes: case, reader -> UTF-8 text ending in a line feed.
// Units:  width in characters; less than 60 is taken as 60, more than 200 as
// 200. Figures are never cut: a row of them may be longer.
func Table(c *view.Case, r view.Reader, width int) []byte {
	w := &writer{c: c, r: r, width: min(max(width, least), most)}
	w.top()
	w.findings()
	w.undecided()
	w.questions()
	w.targets()
	for _, s := range view.SystemOrder() {
		w.system(s)
	}
	return []byte(w.b.String())
}

type writer struct {
	c     *view.Case
	r     view.Reader
	width int
	b     strings.Builder
}

func (w *writer) top() {
	a, r := w.c.Assessment, w.r
	w.line(r.T("text.head", "title", a.Title, "family", w.c.Layout.Family.Name.In(r.Lang), "job", a.Job))
	if a.Invented {
		w.para("", r.T("text.invented"))
	}
	t := a.Tally
	w.para("", r.T("text.tally", "readings", r.Int(t.Readings), "derived", r.Int(t.Derived), "accept", r.Int(t.Accept),
		"undecided", r.Int(t.Undecided), "reject", r.Int(t.Reject), "unmeasured", r.Int(t.Unmeasured)))
	said, _ := w.c.Rule(r)
	w.para("", r.T("text.rule", "rule", said))
}

func (w *writer) findings() {
	w.head(w.r.T("text.findings"))
	all := w.c.FindingsTold(w.r)
	if len(all) == 0 {
		w.line(w.r.T("text.findings.none"))
	}
	weight := finding.Severity("")
	for i := range all {
		f := &all[i].Words
		if weight != all[i].Finding.Severity {
			weight = all[i].Finding.Severity
			w.line(w.r.T("sheet.severity." + string(weight)))
		}
		w.para("  ", w.r.T("page.verdict."+string(all[i].Finding.Verdict))+"  "+f.Title)
		w.para("      ", f.Measured)
		for _, s := range f.Remarks {
			w.para("      ", s)
		}
		var options []string
		for _, o := range f.Options {
			options = append(options, o.Outcome)
		}
		if len(options) > 0 {
			w.para("      ", w.r.T("text.options", "list", strings.Join(options, ", ")))
		}
	}
}

func (w *writer) undecided() {
	begun := false
	for _, v := range w.c.Values("") {
		if v.Verdict != assess.Undecided {
			continue
		}
		if !begun {
			begun = true
			w.head(w.r.T("text.undecided"))
		}
		w.para("  ", w.c.Place(w.r, v.Position)+"  "+w.c.Value(w.r, v)+" "+w.c.Doubt(w.r, v))
		if act := w.c.Say(w.r, v.Act); act != "" {
			w.para("      ", w.r.T("text.act", "act", act))
		}
	}
}

func (w *writer) questions() {
	all := w.c.QuestionsAsked(w.r)
	if len(all) == 0 {
		return
	}
	w.head(w.r.T("text.questions"))
	for _, q := range all {
		s := q.Where + ": " + q.Text
		if !q.IsOpen {
			s += " " + w.r.T("sheet.question.answered", "answer", q.Answer, "reason", q.Reason)
		}
		w.para("  ", s)
	}
}

func (w *writer) targets() {
	all := w.c.TargetsSet(w.r)
	if len(all) == 0 {
		return
	}
	w.head(w.r.T("text.targets"))
	for _, t := range all {
		w.para("  ", t.Group+": "+t.Plate.Word)
		w.para("      ", t.Why)
		rows := [][]string{{w.r.T("sheet.col.part"), w.r.T("text.column.extreme"), w.r.T("text.column.cleans"), w.r.T("text.column.stock"), w.r.T("text.column.wall"), w.r.T("text.column.bridge")}}
		for _, p := range t.Places {
			rows = append(rows, []string{p.Part.Text, p.Extreme, p.CleansUp, p.Stock, p.Wall, p.Bridge})
		}
		if !t.Walls {
			rows[0][4] = ""
		}
		if !t.Bridges {
			rows[0][5] = ""
		}
		w.rows("      ", rows, []bool{false, true, true, true, true, true}, func(int) {})
	}
}

// system sets every value of a system, one line each, by component and
// characteristic.
func (w *writer) system(name string) {
	begun := false
	for i := range w.c.Layout.Family.Components {
		comp := &w.c.Layout.Family.Components[i]
		vs := w.c.Values(comp.ID)
		if comp.System != name || len(vs) == 0 {
			continue
		}
		if !begun {
			begun = true
			w.head(strings.ToUpper(w.r.T("page.system." + name)))
		}
		w.component(comp.Name.In(w.r.Lang), vs)
	}
}

// component sets the values of a component: a line a characteristic with its
// limits, then a line a place.
func (w *writer) component(name string, vs []*assess.Value) {
	r := w.r
	w.line("")
	w.line(name)
	rows := [][]string{}
	heads := map[int]string{} // lines before which row
	last := ""
	for _, v := range vs {
		if v.Place == nil {
			continue
		}
		limits := ""
		if l := w.c.Limits(r, v); l != nil {
			limits = l.Range + ", " + l.For
		}
		if head := v.Place.Char.Name.In(r.Lang) + "\x00" + limits; head != last {
			last = head
			heads[len(rows)] = strings.TrimSpace(v.Place.Char.Name.In(r.Lang) + "  " + limits)
		}
		place := strings.Join(v.Place.At, "/")
		if v.State != "found" {
			place += " (" + r.State(v.State) + ")"
		}
		rows = append(rows, []string{place, w.c.Value(r, v), w.c.Doubt(r, v), w.verdict(v)})
	}
	w.rows("    ", rows, []bool{false, true, true, false}, func(i int) {
		if s, ok := heads[i]; ok {
			w.para("  ", s)
		}
	})
}

// verdict is the word of a verdict, with how far outside a value lies.
func (w *writer) verdict(v *assess.Value) string {
	if v.Verdict == "" {
		return ""
	}
	s := w.r.T("page.verdict." + string(v.Verdict))
	if _, amount := w.c.Outside(w.r, v); amount != "" {
		s += " " + amount
	}
	return s
}

func (w *writer) head(s string) {
	w.line("")
	w.line(s)
	w.line(strings.Repeat("─", min(long(s), w.width)))
}

func (w *writer) line(s string) {
	w.b.WriteString(strings.TrimRight(plain(s), " "))
	w.b.WriteByte('\n')
}

// para sets a text in lines no longer than the width, indented.
func (w *writer) para(indent, s string) {
	if s == "" {
		return
	}
	room, line := w.width-long(indent), ""
	for _, word := range strings.Fields(plain(s)) {
		if line != "" && long(line)+1+long(word) > room {
			w.line(indent + line)
			line = ""
		}
		for long(word) > room { // a word without end is broken
			rs := []rune(word)
			w.line(indent + string(rs[:room]))
			word = string(rs[room:])
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	w.line(indent + line)
}

// rows sets rows in columns, with before called ahead of each. The first
// column is shortened in its middle where the width asks for it.
func (w *writer) rows(indent string, rows [][]string, end []bool, before func(int)) {
	cols := make([]int, len(end))
	for _, row := range rows {
		for i := range row {
			row[i] = plain(row[i])
			cols[i] = max(cols[i], long(row[i]))
		}
	}
	total := long(indent)
	for i, n := range cols {
		if n > 0 && i > 0 {
			total += 2
		}
		total += n
	}
	if total > w.width {
		cols[0] = max(8, cols[0]-(total-w.width))
	}
	for k, row := range rows {
		before(k)
		var b strings.Builder
		b.WriteString(indent)
		for i, s := range row {
			if cols[i] == 0 {
				continue
			}
			if i > 0 {
				b.WriteString("  ")
			}
			if i == 0 {
				s = cut(s, cols[0])
			}
			gap := strings.Repeat(" ", max(0, cols[i]-long(s)))
			if end[i] {
				b.WriteString(gap + s)
			} else {
				b.WriteString(s + gap)
			}
		}
		w.line(b.String())
	}
}

// cut shortens a place at its front: what tells places apart stands at the end.
func cut(s string, n int) string {
	if long(s) <= n {
		return s
	}
	rs := []rune(s)
	head := n/2 - 1
	return string(rs[:head]) + "…" + string(rs[len(rs)-(n-head-1):])
}

func long(s string) int { return utf8.RuneCountInString(s) }

// plain keeps a text on its line and out of the terminal's commands: no control
// or direction marks, ordinary spaces.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t', r == '\n', r == '\r', r == '\u202f', r == '\u00a0', r == '\u2009':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), r == utf8.RuneError:
			return -1
		}
		return r
	}, s)
}
