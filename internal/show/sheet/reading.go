package sheet

import (
	"sort"
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
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
	b.chapter(b.r.T("sheet.readings.title"), 120)
	b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.readings.legend"), Size: sizeNote, Ink: plot.InkThin}, 9.8)
	codes := b.conditions(spells)
	b.y += 8
	var notes []note
	last, component := "", ""
	for i := range spells {
		s := &spells[i]
		if c, _, _ := cut(s.id); c != component {
			component = c
			b.room(46)
			b.y += 2
			b.c.Text(plot.Pt(b.x, b.y), plot.Text{S: plot.Fit(clean(b.Case.Part(b.r, c)), plot.SizeSmall, plot.Bold, b.w), Weight: plot.Bold, Base: plot.CapTop})
			b.y += 11
			b.faint()
			b.y += 3
		}
		notes = b.spell(s, notes, codes, s.id != last)
		last = s.id
	}
	b.readingNotes(notes)
	b.across()
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
	b.y += 1.4
	return notes
}

// reading is what was read, in the unit of its spell.
func (b *book) reading(r *job.Reading) string {
	if r.Unit == "" {
		return b.word("page.check."+r.Value, r.Value)
	}
	return b.r.Num(r.Value)
}

// words cuts a text at its spaces.
func words(s string) []string { return strings.Fields(s) }
