package sheet

import (
	"strings"

	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// settings sets what the engine is built and run by: compression, clearances
// that are set by hand, timing, and the notes on its use.
func (b *book) settings() {
	groups := b.settingGroups()
	if len(groups) == 0 {
		return
	}
	b.chapter(b.r.T("sheet.settings.title"), 110)
	b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.settings.under")}, 14.5)
	b.y += 4
	b.columns(2)
	for _, g := range groups {
		b.section(b.r.T("sheet.setting."+g.key), 60)
		for _, vs := range g.chars {
			b.pattern(vs)
			b.each(vs)
			b.plots(drawer{b.Case, b.r}.settings(vs[0].Place.Char))
		}
	}
	b.notes()
}

type settingGroup struct {
	key   string
	chars [][]*assess.Value
}

// settingGroups picks the characteristics that are settings: by the relation
// that makes them, or by what they are called in every family.
func (b *book) settingGroups() []settingGroup {
	var out []settingGroup
	at := map[string]int{}
	for c := range b.Case.Layout.Family.Components {
		for _, vs := range b.byCharacteristic(b.Case.Layout.Family.Components[c].ID) {
			k := settingOf(vs[0].Place.Char)
			if k == "" || !measured(vs) {
				continue
			}
			i, ok := at[k]
			if !ok {
				i = len(out)
				at[k] = i
				out = append(out, settingGroup{key: k})
			}
			out[i].chars = append(out[i].chars, vs)
		}
	}
	order := "chamber clearance lash timing oil"
	for i := 1; i < len(out); i++ {
		for j := i; j > 0 && strings.Index(order, out[j].key) < strings.Index(order, out[j-1].key); j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}

// settingOf says which group of settings a characteristic belongs to, "" none.
func settingOf(c *family.Characteristic) string {
	switch c.Relation {
	case "compression-ratio", "swept-volume", "squish", "deck-clearance", "piston-speed":
		return "chamber"
	case "oil-clearance", "clearance", "ring-gap-ratio":
		return "clearance"
	case "chain-retard":
		return "timing"
	}
	name := c.ID[strings.IndexByte(c.ID, '/')+1:]
	for _, w := range strings.Split(name, "-") {
		switch w {
		case "lash", "shim":
			return "lash"
		case "timing", "advance", "retard":
			return "timing"
		}
	}
	return ""
}

// notes sets the use of the engine and the remarks of the people on it.
func (b *book) notes() {
	j := b.Case.Job
	if j.Note == "" && len(j.Remarks) == 0 {
		return
	}
	b.section(b.r.T("sheet.notes.title"), 30)
	b.para(b.x, b.w, plot.Text{S: j.Note}, 14.5)
	for _, m := range j.Remarks {
		b.para(b.x, b.w, plot.Text{S: b.r.T("sheet.note", "text", m.Text, "who", b.Case.Person(m.Person), "when", b.r.Date(m.Time))}, 14.5)
	}
}
