package sheet

import (
	"sort"
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
	"fettle/internal/show/view"
)

// spell is a run of readings of one characteristic that one person took with
// one gauge on one day under the same conditions.
type spell struct {
	ch    *family.Characteristic
	id    string // component/characteristic, also where the family does not know it
	state string
	day   string // as the reader writes it
	unit  string
	like  string
	all   []*job.Reading
}

// runOn is up to how many readings stand in one running line with their
// circumstances; more stand in columns below.
const runOn = 8

// readings sets the appendix: every reading of the job as it stands in the
// log, those that no longer count struck through with their reason below.
func (b *book) readings() {
	spells := b.spells()
	if b.cols < 2 {
		b.columns(2)
	}
	b.chapter(b.r.T("sheet.readings.title"), 220)
	b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.readings.legend"), Size: sizeNote, Ink: plot.InkThin}, 10.6)
	codes := b.conditions(spells)
	b.y += 8
	var notes []note
	last, component := "", ""
	for i := range spells {
		s := &spells[i]
		if c, _, _ := cut(s.id); c != component {
			component = c
			b.room(50)
			b.y += 4
			b.c.Text(plot.Pt(b.x, b.y), plot.Text{S: plot.Fit(clean(b.Case.Part(b.r, c)), plot.SizeSmall, plot.Bold, b.w), Weight: plot.Bold, Base: plot.CapTop})
			b.y += 12
			b.faint()
			b.y += 4
		}
		notes = b.spell(s, notes, codes, s.id != last)
		last = s.id
	}
	b.readingNotes(notes)
	b.across()
}

// conditions gives every condition of the readings a letter and sets the key.
func (b *book) conditions(spells []spell) map[string]string {
	codes := map[string]string{}
	var key []string
	for i := range spells {
		for _, k := range spells[i].all[0].Condition {
			if codes[k] != "" {
				continue
			}
			code := letters(len(codes))
			codes[k] = code
			name := k
			if known, ok := b.Case.Library.Conditions[k]; ok {
				name = known.Name.In(b.r.Lang)
			}
			key = append(key, b.r.T("sheet.reading.code", "code", code, "name", name))
		}
	}
	if len(key) > 0 {
		b.y += 3
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.reading.codes", "list", strings.Join(key, "; ")), Size: sizeNote, Ink: plot.InkThin}, 10.6)
	}
	b.gauges(spells)
	return codes
}

// gauges names the gauges of the readings by their type.
func (b *book) gauges(spells []spell) {
	var types []string
	of := map[string][]string{}
	for i := range spells {
		for _, g := range []string{spells[i].all[0].Gauge, spells[i].all[0].Master} {
			t := b.kindOf(g)
			if g == "" || contains(of[t], g) {
				continue
			}
			if of[t] == nil {
				types = append(types, t)
			}
			of[t] = append(of[t], g)
		}
	}
	sort.Strings(types)
	for i, t := range types {
		sort.Strings(of[t])
		types[i] = b.r.T("sheet.reading.gauge", "type", t, "list", strings.Join(of[t], ", "))
	}
	if len(types) > 0 {
		b.y += 3
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.reading.gauges", "list", strings.Join(types, "; ")), Size: sizeNote, Ink: plot.InkThin}, 10.6)
	}
}

// kindOf names the type of a gauge, or the gauge where the shop does not know it.
func (b *book) kindOf(id string) string {
	if b.Case.Shop != nil {
		if g := b.Case.Shop.Gauges[id]; g != nil {
			if t, ok := b.Case.Library.Instruments[g.Type]; ok {
				return t.Name.In(b.r.Lang)
			}
		}
	}
	return b.r.T("sheet.reading.gauge-unknown")
}

// letters counts a, b, … z, aa, ab, …
func letters(n int) string {
	if n < 26 {
		return string(rune('a' + n))
	}
	return letters(n/26-1) + letters(n%26)
}

// spells puts the readings in pattern order and cuts them where circumstances
// change.
func (b *book) spells() []spell {
	l, j := b.Case.Layout, b.Case.Job
	order := make([]*job.Reading, len(j.Readings))
	rank := make(map[*job.Reading]int, len(order))
	for i := range order {
		r := &j.Readings[i]
		order[i] = r
		rank[r] = len(l.Places)
		if at, ok := l.Find(r.Position); ok {
			rank[r] = at
		}
	}
	sort.SliceStable(order, func(i, k int) bool {
		a, c := order[i], order[k]
		switch {
		case rank[a] != rank[c]:
			return rank[a] < rank[c]
		case a.Position != c.Position:
			return a.Position < c.Position
		case a.State != c.State:
			return job.RankState(a.State) < job.RankState(c.State) || job.RankState(a.State) == job.RankState(c.State) && a.State < c.State
		}
		return a.Seq < c.Seq
	})
	var out []spell
	at := map[string]int{}
	for _, r := range order {
		s := b.spellOf(r, rank[r])
		key := s.id + "\x00" + s.like
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, s)
		}
		out[i].all = append(out[i].all, r)
	}
	sort.SliceStable(out, func(i, k int) bool { return rank[out[i].all[0]] < rank[out[k].all[0]] && out[i].id != out[k].id })
	return out
}

func (b *book) spellOf(r *job.Reading, at int) spell {
	s := spell{state: r.State, day: b.r.Date(r.Time), unit: r.Unit}
	if at < len(b.Case.Layout.Places) {
		s.ch = b.Case.Layout.Places[at].Char
		s.id = s.ch.ID
	} else {
		first, rest, _ := cut(r.Position)
		second, _, _ := cut(rest)
		s.id = first + "/" + second
	}
	s.like = strings.Join([]string{r.State, r.Gauge, r.Master, r.Person, s.day, r.Unit, strings.Join(r.Condition, ",")}, "\x00")
	return s
}

// cut splits a position at its first slash.
func cut(s string) (before, after string, found bool) { return strings.Cut(s, "/") }

// note is a remark on one reading, numbered in the order of the appendix.
type note struct{ mark, text string }

// spell sets the circumstances, then the readings: repeats of one place stand
// behind one another.
func (b *book) spell(s *spell, notes []note, codes map[string]string, named bool) []note {
	lo, hi := temps(s.all)
	rows, across, notes := b.rows(s, lo != hi, notes)
	var head []piece
	if named {
		name := s.id
		if s.ch != nil {
			name = s.ch.Name.In(b.r.Lang)
		}
		head = append(head, piece{text: name, bold: true}, piece{text: s.id, ink: plot.InkThin}, piece{text: b.allowed(s), ink: plot.InkThin})
	}
	head = append(head, piece{text: b.circumstance(s, lo, hi, codes), ink: plot.InkThin})
	if across != "" {
		head = append(head, piece{text: b.r.T("sheet.reading.across", "list", across)})
	}
	if s.unit == "" || len(s.all) <= runOn {
		b.run(head, rows)
	} else {
		b.run(head, nil)
		b.grid(rows, 8)
	}
	b.y += 2.2
	return notes
}

// rows puts the readings of a spell in items. Checks stand by their answer;
// readings whose places make a full matrix stand in its rows, with the names
// of the columns in across; else each place is an item.
func (b *book) rows(s *spell, vary bool, notes []note) (rows []item, across string, out []note) {
	marks := make([]string, len(s.all))
	plain := true
	for i, r := range s.all {
		if t := b.remark(r); t != "" {
			marks[i] = b.r.Int(len(notes) + 1)
			notes = append(notes, note{marks[i], t})
			plain = false
		}
	}
	if s.unit == "" && plain {
		return b.answers(s), "", notes
	}
	if plain {
		if rows, across := b.matrix(s, vary); rows != nil {
			return rows, across, notes
		}
	}
	for i, r := range s.all {
		k := item{label: index(r, s.id), parts: []part{{text: b.reading(r), void: !r.Counts()}}}
		if vary {
			k.tail = b.r.Num(r.PartTemp)
		}
		again := i > 0 && s.all[i-1].Position == r.Position
		if again {
			k.label = ""
		}
		if marks[i] != "" {
			k.tail = strings.TrimSpace(k.tail + " [" + marks[i] + "]")
		}
		if was := len(rows) - 1; again && rows[was].tail == k.tail {
			rows[was].parts = append(rows[was].parts, k.parts...) // a repeat under the same circumstances
			continue
		}
		rows = append(rows, k)
	}
	return rows, "", notes
}

// answers puts checks under their answer: pass, and the places that passed.
func (b *book) answers(s *spell) []item {
	var out []item
	for _, answer := range []string{"fail", "pass"} {
		first := true
		for _, r := range s.all {
			if r.Value != answer {
				continue
			}
			if first {
				out = append(out, item{parts: []part{{text: b.reading(r), bold: answer == "fail"}}})
				first = false
			}
			if at := index(r, s.id); at != "" {
				out = append(out, item{label: at})
			}
		}
	}
	return out
}

// matrix puts readings in rows that share the columns of their last indices,
// nil where they do not fill one or where it would be too wide.
func (b *book) matrix(s *spell, vary bool) (rows []item, across string) {
	n := 0
	if s.ch != nil {
		n = len(s.ch.Per)
	}
	if n < 2 || len(s.all) <= runOn {
		return nil, ""
	}
	for keep := 1; keep < n; keep++ { // the fewest rows first
		if rows, across = b.fold(s, vary, keep); rows != nil {
			return rows, across
		}
	}
	return nil, ""
}

// fold makes the rows of a matrix whose rows are named by the first keep
// indices.
func (b *book) fold(s *spell, vary bool, keep int) (rows []item, across string) {
	var cols, names []string
	temp := ""
	for _, r := range s.all {
		at := strings.Split(index(r, s.id), "/")
		if len(at) <= keep {
			return nil, ""
		}
		name, col := strings.Join(at[:keep], "/"), strings.Join(at[keep:], "/")
		if len(names) == 0 || names[len(names)-1] != name {
			if len(names) == 1 {
				across = strings.Join(cols, " ")
			}
			if len(names) > 0 && strings.Join(cols, " ") != firstOf(across, cols) {
				return nil, ""
			}
			names, cols, temp = append(names, name), nil, r.PartTemp
			k := item{label: name}
			if vary {
				k.tail = b.r.Num(r.PartTemp)
			}
			rows = append(rows, k)
		}
		if r.PartTemp != temp {
			return nil, ""
		}
		cols = append(cols, col)
		k := &rows[len(rows)-1]
		k.parts = append(k.parts, part{text: b.reading(r)})
	}
	if len(rows) < 2 || strings.Join(cols, " ") != across {
		return nil, ""
	}
	for i := range rows {
		if l, t, e := rows[i].cleaned().width(); l+5+t+e > b.w-8 {
			return nil, ""
		}
	}
	return rows, columnsOf(cols)
}

// firstOf is the columns of the first row, or those of this row while the
// first is being read.
func firstOf(across string, cols []string) string {
	if across == "" {
		return strings.Join(cols, " ")
	}
	return across
}

// columnsOf lists the columns once, with the number of repeats behind each.
func columnsOf(cols []string) string {
	var out []string
	for i := 0; i < len(cols); {
		n := 1
		for i+n < len(cols) && cols[i+n] == cols[i] {
			n++
		}
		name := cols[i]
		if n > 1 {
			name += "×" + string(rune('0'+min(n, 9)))
		}
		out = append(out, name)
		i += n
	}
	return strings.Join(out, ", ")
}

// reading is what was read, in the unit of its spell.
func (b *book) reading(r *job.Reading) string {
	if r.Unit == "" {
		return b.word("page.check."+r.Value, r.Value)
	}
	return b.r.Num(r.Value)
}

// allowed names the limits of a spell's first place, "" where none apply.
func (b *book) allowed(s *spell) string {
	v, ok := b.Case.Assessment.Find(s.all[0].Position, s.state)
	if !ok {
		return ""
	}
	if l := b.Case.Limits(b.r, v); l != nil && !v.Check {
		return b.r.T("sheet.reading.limit", "range", l.Range)
	}
	return ""
}

// index is the part of a position behind its characteristic.
func index(r *job.Reading, id string) string {
	return strings.TrimPrefix(strings.TrimPrefix(r.Position, id), "/")
}

// temps is the least and the greatest temperature of the parts.
func temps(all []*job.Reading) (lo, hi string) {
	for i, r := range all {
		if i == 0 || view.Less(r.PartTemp, lo) {
			lo = r.PartTemp
		}
		if i == 0 || view.Less(hi, r.PartTemp) {
			hi = r.PartTemp
		}
	}
	return lo, hi
}

// circumstance says how the readings of a spell were taken.
func (b *book) circumstance(s *spell, lo, hi string, codes map[string]string) string {
	r := b.r
	first := s.all[0]
	var out []string
	if s.unit != "" && s.unit != "1" {
		out = append(out, s.unit)
	}
	if s.state != job.Found {
		out = append(out, r.State(s.state))
	}
	if first.Gauge != "" {
		g := first.Gauge
		if first.Master != "" {
			g = r.T("sheet.reading.set-on", "gauge", g, "master", first.Master)
		}
		out = append(out, g)
	}
	out = append(out, b.Case.Person(first.Person)+" "+b.day(s.day))
	switch {
	case lo == hi && lo != "":
		out = append(out, r.With(lo, "°C"))
	case lo != hi:
		out = append(out, r.T("sheet.reading.temperatures", "from", r.Num(lo), "to", r.With(hi, "°C")))
	}
	var when []string
	for _, k := range first.Condition {
		when = append(when, codes[k])
	}
	if len(when) > 0 {
		out = append(out, strings.Join(when, " "))
	}
	return strings.Join(out, " · ")
}

// day leaves the year out where the title block says it for all.
func (b *book) day(date string) string {
	first, last := b.r.Date(b.Case.Job.First), b.r.Date(b.Case.Job.Last)
	if len(first) > 5 && len(last) > 5 && len(date) > 5 && first[:5] == last[:5] && date[:5] == first[:5] {
		return date[5:]
	}
	return date
}

// remark says why a reading no longer counts, what it replaced, or what the
// person noted; "" where there is nothing to say.
func (b *book) remark(rd *job.Reading) string {
	var out []string
	if !rd.Counts() {
		out = append(out, b.r.T("sheet.reading.void", "how", b.word("sheet.void."+rd.Voided, rd.Voided), "reason", rd.Reason))
	}
	if rd.Instead != "" {
		if old, ok := b.Case.Job.Find(rd.Instead); ok {
			out = append(out, b.r.T("sheet.reading.instead", "old", b.r.With(b.reading(old), old.Unit)))
		}
	}
	if rd.Was != "" && rd.Was != rd.Position {
		out = append(out, b.r.T("sheet.reading.was", "position", rd.Was))
	}
	if rd.Transcript {
		out = append(out, b.r.T("sheet.reading.transcribed"))
	}
	if rd.Note != "" {
		out = append(out, rd.Note)
	}
	if len(out) == 0 {
		return ""
	}
	return rd.Position + ": " + strings.Join(out, "; ")
}

func (b *book) readingNotes(notes []note) {
	if len(notes) == 0 {
		return
	}
	b.section(b.r.T("sheet.readings.notes"), 30)
	for _, n := range notes {
		b.room(10.5)
		b.c.Text(plot.Pt(b.x, b.y), plot.Text{S: "[" + n.mark + "]", Size: sizeNote, Base: plot.CapTop, Ink: plot.InkThin})
		b.para(b.x+26, b.w-26, plot.Text{S: n.text, Size: sizeNote}, 10.5)
	}
}

// words cuts a text at its spaces.
func words(s string) []string { return strings.Fields(s) }
