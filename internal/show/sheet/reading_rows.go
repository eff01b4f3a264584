package sheet

import (
	"strings"

	"fettle/internal/facts/job"
)

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

// index is the part of a position behind its characteristic.
func index(r *job.Reading, id string) string {
	return strings.TrimPrefix(strings.TrimPrefix(r.Position, id), "/")
}
