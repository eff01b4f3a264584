package view

import (
	"fmt"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
	"fettle/internal/know/revise"
	"fettle/internal/know/source"
)

// TypedDraft is what a person typed on a sheet of a draft, to be shown again.
type TypedDraft struct {
	Fields       map[string]string
	From, Status string
	Source       source.Source
}

// DraftSheet is the page on which one component of a draft, or the engine, is
// changed.
type DraftSheet struct {
	Frame
	Post, Back     string
	Mark, MarkName string
	Problems       []string // that belong to no field
	Figures        []FigureGroup
	Chars          []DraftChar
	Sources        []Choice // for the fields of single limits
	From           []Choice
	Statuses       []Choice
	New            NewSource
	Next           []Link
	Labels         bool // limits can be changed here
	FromFault      string
	TypedIn        bool // the new source is open
}

// NewSource is a source that is typed in.
type NewSource struct {
	Title, Place Field
	Kinds, Seens []Choice
	KindFault    string
	SeenFault    string
}

// Field is one text field with what is wrong with it.
type Field struct {
	ID, Name, Label, Value, Unit, Fault string
	Was                                 string // what stands in the base, where the draft has something else
}

// FigureGroup is some figures of the engine.
type FigureGroup struct {
	Name   string
	Fields []Field
}

// DraftChar is one characteristic on a sheet.
type DraftChar struct {
	Name, Pattern, Derived string
	Nominal                *Field
	Limits                 []DraftLimit
	Add                    []DraftLimit
	AddOpen                bool
}

// DraftLimit is one limit on a sheet.
type DraftLimit struct {
	For, Where  string
	Check       bool // it is to pass
	Min, Max    Field
	Label       string // source and status that hold
	Weak        bool
	Source      Field
	StatusName  string
	StatusFault string
	StatusLabel string
	Statuses    []Choice
	Drop        string // name of the field; "" where there is nothing to drop
	DropID      string
	DropLabel   string
	Dropped     bool
	Reason      Field
	Open        bool
	Changed     bool
	ChangedWas  string
	RowLabel    string
}

// DraftSheetPage makes the sheet of a component; "" is the engine. What was
// typed is shown again with what is wrong with it; typed without fields shows
// the draft. ok is false where there is no such sheet.
func (r Reader) DraftSheetPage(m *Making, component string, typed *TypedDraft, faults map[string]string) (v DraftSheet, ok bool) {
	name := r.T("page.nav.engine")
	if component != "" {
		if !m.measures(component) {
			return v, false
		}
		name = m.speak(m.Base).Part(r, component)
	}
	s := &sheetMaker{r: r, m: m, c: m.speak(m.Base), typed: typed, faults: faults, told: map[string]bool{}, changes: map[string]revise.Change{}}
	for _, c := range m.Patch.Changes {
		s.changes[c.Path] = c
	}
	v = DraftSheet{Frame: r.frame(name, ""), Post: draftSheetHref(m.ID, component), Back: DraftHref(m.ID), Mark: string(r.Mark), MarkName: r.T("page.mark." + markName(r.Mark))}
	v.Under = r.T("page.draft.of", "name", m.name(r))
	if component == "" {
		v.Figures = s.figures()
	} else {
		f := m.Base.Family
		for i := range f.Characteristics {
			if c := &f.Characteristics[i]; c.Component() == component {
				v.Chars = append(v.Chars, s.char(c))
			}
		}
		v.Labels = true
		s.labels(&v)
	}
	for _, key := range sortedNames(asLists(faults)) {
		if !s.told[key] {
			v.Problems = append(v.Problems, faults[key])
		}
	}
	v.Next = m.neighbours(r, component)
	v.Block = append(v.Block, pair(r, "family", m.Patch.ID), pair(r, "from", m.Patch.Base+" "+short12(m.Base.Digest)), pair(r, "part", name))
	return v, true
}

func asLists(m map[string]string) map[string][]string {
	out := map[string][]string{}
	for k := range m {
		out[k] = nil
	}
	return out
}

// neighbours are the sheets before and behind this one.
func (m *Making) neighbours(r Reader, component string) []Link {
	list := m.sheets(r)
	at := draftSheetHref(m.ID, component)
	var out []Link
	for i := range list {
		if list[i].Href != at {
			continue
		}
		if i > 0 {
			out = append(out, Link{Href: list[i-1].Href, Text: r.T("page.draft.before", "name", list[i-1].Text)})
		}
		if i+1 < len(list) {
			out = append(out, Link{Href: list[i+1].Href, Text: r.T("page.draft.next", "name", list[i+1].Text)})
		}
	}
	return out
}

// sheetMaker makes the fields of a sheet.
type sheetMaker struct {
	r       Reader
	m       *Making
	c       *Case
	typed   *TypedDraft
	faults  map[string]string
	told    map[string]bool // faults that stand at their field
	changes map[string]revise.Change
	n       int
}

func (s *sheetMaker) id() string { s.n++; return fmt.Sprintf("f%d", s.n) }

// fault takes the fault of a field.
func (s *sheetMaker) fault(name string) string {
	if s.faults[name] == "" {
		return ""
	}
	s.told[name] = true
	return s.faults[name]
}

// text is what a field shows: what was typed, else what the draft has.
func (s *sheetMaker) text(name, drafted string) string {
	if s.typed != nil {
		if t, ok := s.typed.Fields[name]; ok {
			return t
		}
	}
	return drafted
}

func (s *sheetMaker) figures() []FigureGroup {
	var out []FigureGroup
	for _, g := range revise.Figures(&s.m.Base.Family.Engine) {
		name := s.r.T("page.draft.group." + g.Group)
		if len(out) == 0 || out[len(out)-1].Name != name {
			out = append(out, FigureGroup{Name: name})
		}
		now, was := g.Text, ""
		if c, ok := s.changes[g.Path]; ok {
			now, was = c.New, s.r.T("page.draft.was", "value", orLast(s.r.difference(revise.FigureP, c.Old), "–"))
		}
		f := Field{ID: s.id(), Name: g.Path, Label: s.r.figure(g), Fault: s.fault(g.Path), Was: was}
		f.Value, f.Unit = s.figureText(g, now)
		f.Value = s.text(g.Path, f.Value)
		group := &out[len(out)-1]
		group.Fields = append(group.Fields, f)
	}
	return out
}

// figureText is a figure as a person types it, with its unit beside it where
// the field holds one number.
func (s *sheetMaker) figureText(g revise.Figure, text string) (value, unitName string) {
	switch g.Kind {
	case revise.Size:
		q, err := unit.Parse(text, "", '.')
		if err != nil {
			return text, shownUnit(g.Unit)
		}
		return s.r.Num(q.Text), shownUnit(q.Unit)
	case revise.Steps:
		var out []string
		for _, p := range strings.Split(text, ", ") {
			if q, err := unit.Parse(p, "", '.'); err == nil {
				out = append(out, s.r.Num(q.Text)+" "+q.Unit)
			}
		}
		return strings.Join(out, "; "), ""
	}
	return text, ""
}

// shownUnit is a unit beside a field; a pure number has none.
func shownUnit(u string) string {
	if u == "1" {
		return ""
	}
	return u
}

func (s *sheetMaker) char(c *family.Characteristic) DraftChar {
	r := s.r
	d := DraftChar{Name: c.Name.In(r.Lang)}
	var dims []string
	for _, k := range c.Per {
		dims = append(dims, s.c.dimension(r, k))
	}
	d.Pattern = strings.Join(dims, " × ")
	if c.Relation != "" {
		d.Derived = r.T("page.family.derived", "relation", r.relation(c.Relation))
	}
	if c.Quantity != family.Check && c.Relation == "" {
		f := s.quantity(c.ID+".nominal", r.T("page.draft.nominal"), c.Nominal, c.Unit)
		d.Nominal = &f
	}
	has := map[string]bool{}
	for i := range c.Limits {
		l := &c.Limits[i]
		has[l.For] = has[l.For] || len(l.Where) == 0
		d.Limits = append(d.Limits, s.limit(c, fmt.Sprintf("%s.limits[%d]", c.ID, i), l))
	}
	if c.Finding == "" || c.Quantity == family.Check {
		return d
	}
	for _, f := range []string{"new", "reuse"} {
		if !has[f] {
			l := s.limit(c, c.ID+".limits[+"+f+"]", &family.Limit{For: f})
			d.AddOpen = d.AddOpen || l.Open || l.Changed
			d.Add = append(d.Add, l)
		}
	}
	return d
}

// quantity is the field of a nominal.
func (s *sheetMaker) quantity(path, label string, base unit.Quantity, unitName string) Field {
	now, was := base, ""
	if c, ok := s.changes[path]; ok {
		now, _ = unit.Parse(c.New, "", '.')
		was = s.r.T("page.draft.was", "value", orLast(s.r.With(base.Text, base.Unit), "–"))
	}
	f := Field{ID: s.id(), Name: path, Label: label, Fault: s.fault(path), Was: was, Unit: shownUnit(orFirst(now.Unit, unitName))}
	f.Value = s.text(path, s.r.Num(now.Text))
	return f
}

func orFirst(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func (s *sheetMaker) limit(c *family.Characteristic, path string, l *family.Limit) DraftLimit {
	r := s.r
	d := DraftLimit{For: r.or("page.limit."+l.For, l.For), Where: s.c.whereLimit(r, l), Check: l.Must != ""}
	d.RowLabel = c.Name.In(r.Lang) + ", " + d.For
	if d.Where != "" {
		d.RowLabel += ", " + d.Where
	}
	now, key, status := *l, string(l.Source), string(l.Status)
	ch, changed := s.changes[path]
	d.Changed = changed
	if changed {
		d.ChangedWas = r.T("page.draft.was", "value", orLast(r.difference(revise.Limit, ch.Old), "–"))
		if ch.New == "" {
			d.Dropped = true
		} else {
			now.Min, now.Max = unit.Quantity{}, unit.Quantity{}
			for _, part := range strings.Split(ch.New, ", ") {
				which, value, _ := strings.Cut(part, " ")
				q, _ := unit.Parse(value, "", '.')
				if which == "min" {
					now.Min = q
				}
				if which == "max" {
					now.Max = q
				}
			}
			key, status = string(ch.Source), string(ch.Status)
		}
	}
	if key != "" {
		d.Label = s.m.source(cite.Key(key)) + " · " + s.c.status(r, status)
		d.Weak = status != string(cite.ManualInHand) && status != string(cite.CopiedTable)
	}
	if !d.Check {
		d.Min = s.boundField(path+".min", r.T("page.draft.least", "of", d.RowLabel), now.Min, orFirst(now.Max.Unit, c.Unit))
		d.Max = s.boundField(path+".max", r.T("page.draft.most", "of", d.RowLabel), now.Max, orFirst(now.Min.Unit, c.Unit))
	}
	d.Source = Field{ID: s.id(), Name: path + ".source", Label: r.T("page.draft.source", "of", d.RowLabel), Fault: s.fault(path + ".source")}
	d.StatusName, d.StatusFault, d.StatusLabel = path+".status", s.fault(path+".status"), r.T("page.draft.status", "of", d.RowLabel)
	chosen := ""
	if changed && ch.New != "" { // what the draft has is sent again, so that it stays
		d.Source.Value, chosen = key, status
	}
	d.Source.Value = s.text(path+".source", d.Source.Value)
	d.Statuses = s.statuses(s.text(path+".status", chosen), r.T("page.draft.asabove"))
	if len(l.Source) > 0 {
		d.Drop, d.DropID, d.DropLabel = path+".drop", s.id(), r.T("page.draft.drop", "of", d.RowLabel)
		d.Reason = Field{ID: s.id(), Name: path + ".reason", Label: r.T("page.draft.reason", "of", d.RowLabel), Value: s.text(path+".reason", ch.Reason), Fault: s.fault(path + ".reason")}
		if s.typed != nil {
			d.Dropped = s.typed.Fields[path+".drop"] != ""
		}
	}
	for _, f := range []string{d.Min.Fault, d.Max.Fault, d.Source.Fault, d.StatusFault, d.Reason.Fault} {
		d.Open = d.Open || f != ""
	}
	if f := s.fault(path); f != "" {
		d.Source.Fault, d.Open = f, true
	}
	d.Open = d.Open || d.Dropped
	return d
}

func (s *sheetMaker) boundField(name, label string, q unit.Quantity, unitName string) Field {
	return Field{ID: s.id(), Name: name, Label: label, Value: s.text(name, s.r.Num(q.Text)), Unit: shownUnit(orFirst(q.Unit, unitName)), Fault: s.fault(name)}
}

func (s *sheetMaker) statuses(chosen, none string) []Choice {
	out := []Choice{{Text: none, Chosen: chosen == ""}}
	for _, k := range cite.Statuses() {
		out = append(out, Choice{string(k), s.c.status(s.r, string(k)), string(k) == chosen})
	}
	return out
}

// labels is where what is changed on a sheet comes from.
func (s *sheetMaker) labels(v *DraftSheet) {
	r := s.r
	var t TypedDraft
	if s.typed != nil {
		t = *s.typed
	}
	all := s.m.sourceChoices(t.From)
	v.Sources = s.m.sourceChoices("")
	v.From = append([]Choice{{Text: r.T("page.form.choose"), Chosen: t.From == ""}, {"+", r.T("page.draft.typedin"), t.From == "+"}}, all...)
	v.FromFault = s.fault("from")
	v.Statuses = s.statuses(t.Status, r.T("page.form.choose"))
	v.New = NewSource{Title: Field{ID: "s-title", Name: "source.title", Label: r.T("page.source.title"), Value: t.Source.Title, Fault: s.fault("source.title")},
		Place:     Field{ID: "s-place", Name: "source.place", Label: r.T("page.source.place"), Value: t.Source.Place, Fault: s.fault("source.place")},
		KindFault: s.fault("source.kind"), SeenFault: s.fault("source.seen")}
	v.New.Kinds = []Choice{{Text: r.T("page.form.choose"), Chosen: t.Source.Kind == ""}}
	for _, k := range revise.Kinds() {
		v.New.Kinds = append(v.New.Kinds, Choice{k, r.T("page.source.kind." + k), k == t.Source.Kind})
	}
	v.New.Seens = []Choice{{Text: r.T("page.form.choose"), Chosen: t.Source.Seen == ""}}
	for _, k := range revise.Seens() {
		v.New.Seens = append(v.New.Seens, Choice{k, r.T("page.source.seen." + strings.ReplaceAll(k, " ", "-")), k == t.Source.Seen})
	}
	v.TypedIn = t.From == "+" || t.Source.Title != "" || v.New.Title.Fault != "" || v.New.KindFault != "" || v.New.SeenFault != ""
}

func choicesOf(list []source.Source, chosen string) []Choice {
	var out []Choice
	for _, s := range list {
		out = append(out, Choice{string(s.ID), titled(s.Title, s.Place), string(s.ID) == chosen})
	}
	return out
}
