package sheet

import (
	"sort"
	"strings"

	"fettle/internal/show/plot"
)

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
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.reading.codes", "list", strings.Join(key, "; ")), Size: sizeNote, Ink: plot.InkThin}, 9.8)
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
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.reading.gauges", "list", strings.Join(types, "; ")), Size: sizeNote, Ink: plot.InkThin}, 9.8)
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
