package view

import (
	"net/url"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/shop"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
	"fettle/internal/know/revise"
)

// Making is a draft of a family as pages speak of it.
type Making struct {
	ID          string
	Patch       revise.Patch
	Base        *family.Layout
	Layout      *family.Layout // nil while the file is not sound
	Moved       bool
	Faults      fault.List
	Differences []revise.Difference
	Library     *library.Library
}

// DraftHref is the address of a draft, or of one below it.
func DraftHref(id string, below ...string) string {
	parts := append([]string{"/draft", url.PathEscape(id)}, below...)
	return strings.Join(parts, "/")
}

// PartHref is the address of a component's sheet of a draft; "" is the engine.
func draftSheetHref(id, component string) string {
	if component == "" {
		return DraftHref(id, "engine")
	}
	return DraftHref(id, "part", url.PathEscape(component))
}

// speak is the case that names things of a version.
func (m *Making) speak(l *family.Layout) *Case { return &Case{Layout: l, Library: m.Library} }

// own finds the name of a source, the draft's own first.
func (m *Making) source(key cite.Key) string {
	for _, s := range m.Patch.Sources {
		if s.ID == key {
			return titled(s.Title, s.Place)
		}
	}
	return m.speak(m.Base).source(string(key))
}

func titled(title, place string) string {
	if place != "" {
		return title + ", " + place
	}
	return title
}

// name is what the family will be called.
func (m *Making) name(r Reader) string {
	if m.Patch.Name != "" {
		return m.Patch.Name
	}
	return m.Base.Family.Name.In(r.Lang)
}

// origin says what the draft begins from.
func (m *Making) origin(r Reader) string {
	key := "page.draft.own"
	if m.Patch.ID == m.Patch.Base {
		key = "page.draft.revision"
	}
	return r.T(key, "base", m.Base.Family.Name.In(r.Lang), "version", short12(m.Base.Digest))
}

// Draft is the page of a draft: what is different, what is wrong, what next.
type Draft struct {
	Frame
	Origin      string
	Differences Differences
	Sheets      []DraftSheetLink
	Problems    []Trouble
	Sound       string // "" while it is not
	Digest      string
	Moved       string
	Adopt       string
	Export      string
	Post        string
	People      []Choice
	Faults      map[string]string
}

// DraftSheetLink leads to a sheet of the draft.
type DraftSheetLink struct {
	Link
	System string
	Count  string // what is changed there, "" for nothing
}

// Trouble is a problem with its place in words.
type Trouble struct {
	Where    Link
	Sentence string
	Line     string // of the file, "" where there is none
}

// DraftPage makes the page of a draft. Faults are those of the last form, by
// field.
func (r Reader) DraftPage(m *Making, sh *shop.State, person string, faults map[string]string) Draft {
	v := Draft{Frame: r.frame(m.name(r), ""), Origin: m.origin(r), Post: DraftHref(m.ID), Faults: faults}
	v.Under = r.T("page.draft.title")
	v.Sheets = m.sheets(r)
	v.Problems = m.problems(r)
	v.People = (&Case{Shop: sh}).people(r, person)
	if m.Moved {
		v.Moved = r.T("page.draft.moved")
	}
	if m.Layout != nil {
		v.Differences = m.speak(m.Layout).differences(r, m.Base, m.Differences)
		v.Sound = r.T("page.draft.sound", "places", r.Int(len(m.Layout.Places)), "characteristics", r.Int(len(m.Layout.Family.Characteristics)))
		v.Digest, v.Export = m.Layout.Digest, DraftHref(m.ID, "family.yaml")
		v.Adopt = r.T("page.draft.adopt.own")
		if m.Patch.ID == m.Patch.Base {
			v.Adopt = r.T("page.draft.adopt.revision")
		}
	}
	v.Block = append(v.Block, pair(r, "family", m.Patch.ID), pair(r, "from", m.Patch.Base+" "+short12(m.Base.Digest)), pair(r, "digest", orLast(short12(v.Digest), "–")))
	return v
}

// sheets lists the sheets of a draft with how much is changed on each.
func (m *Making) sheets(r Reader) []DraftSheetLink {
	n := map[string]int{}
	for _, c := range m.Patch.Changes {
		comp, _, _ := strings.Cut(revise.Char(c.Path), "/")
		n[comp]++
	}
	one := func(component, name, system string) DraftSheetLink {
		l := DraftSheetLink{Link: Link{Href: draftSheetHref(m.ID, component), Text: name}, System: system}
		if k := n[component]; k > 0 {
			l.Count = r.N("page.draft.changed", k)
		}
		return l
	}
	out := []DraftSheetLink{one("", r.T("page.nav.engine"), r.T("page.draft.geometry"))}
	for _, system := range systemOrder() {
		for i := range m.Base.Family.Components {
			c := &m.Base.Family.Components[i]
			if c.System == system && m.measures(c.ID) {
				out = append(out, one(c.ID, c.Name.In(r.Lang), r.T("page.system."+system)))
			}
		}
	}
	return out
}

// measures reports whether a component has something to measure.
func (m *Making) measures(component string) bool {
	f := m.Base.Family
	for i := range f.Characteristics {
		if f.Characteristics[i].Component() == component {
			return true
		}
	}
	return false
}

// problems says in words where each problem is. The characteristics of a draft
// stand in the order of its base.
func (m *Making) problems(r Reader) []Trouble {
	var out []Trouble
	c := m.speak(m.Base)
	for _, f := range m.Faults {
		t := Trouble{Sentence: r.Book.Fault(f)}
		if f.Line > 0 {
			t.Line = r.T("page.draft.line", "line", strconv.Itoa(f.Line))
		}
		t.Where = m.whereFault(r, c, f.Path)
		out = append(out, t)
	}
	return out
}

func (m *Making) whereFault(r Reader, c *Case, path string) Link {
	fam := m.Base.Family
	var ch *family.Characteristic
	if rest, ok := strings.CutPrefix(path, "characteristics["); ok {
		n, _, _ := strings.Cut(rest, "]")
		if i, err := strconv.Atoi(n); err == nil && i < len(fam.Characteristics) {
			ch = &fam.Characteristics[i]
		}
	} else {
		for i := range fam.Characteristics {
			if id := fam.Characteristics[i].ID; strings.HasPrefix(path, id+".") {
				ch = &fam.Characteristics[i]
			}
		}
	}
	if ch != nil {
		return Link{Href: draftSheetHref(m.ID, ch.Component()), Text: c.Part(r, ch.Component()) + ": " + ch.Name.In(r.Lang)}
	}
	for _, g := range revise.Figures(&fam.Engine) {
		if g.Path == path {
			return Link{Href: draftSheetHref(m.ID, ""), Text: r.figure(g)}
		}
	}
	if strings.HasPrefix(path, "engine") {
		return Link{Href: draftSheetHref(m.ID, ""), Text: r.T("page.nav.engine")}
	}
	return Link{Href: DraftHref(m.ID), Text: r.T("page.draft.file")}
}

// figure names a figure of an engine.
func (r Reader) figure(g revise.Figure) string {
	name := r.or("page.figure."+g.Word, g.Word)
	if g.Of != "" {
		return name + ", " + g.Of
	}
	return name
}

// Differences is a list of what two families differ in, a part at a time.
type Differences struct {
	Groups []DiffGroup
	Empty  string
}

// DiffGroup is what differs about one part.
type DiffGroup struct {
	Name string
	Rows []DiffRow
}

// DiffRow is one difference in words.
type DiffRow struct {
	What, Small string
	Old, New    string
	From        string // of a limit: source of the new, or of the old where it is dropped
	Status      string
	Was         string // source and status before, where they are others
	Weak        bool
	So          string // of a dropped limit: what its values are judged by from then on
}

// differences says in words in what the new version, of which this case
// speaks, differs from an old one.
func (c *Case) differences(r Reader, old *family.Layout, list []revise.Difference) Differences {
	was := &Case{Layout: old, Library: c.Library}
	var v Differences
	at := map[string]int{}
	put := func(group string, row DiffRow) {
		i, ok := at[group]
		if !ok {
			i = len(v.Groups)
			at[group] = i
			v.Groups = append(v.Groups, DiffGroup{Name: group})
		}
		v.Groups[i].Rows = append(v.Groups[i].Rows, row)
	}
	for _, d := range list {
		row := DiffRow{Old: r.difference(d.What, d.Old), New: r.difference(d.What, d.New)}
		switch d.What {
		case revise.Head:
			row.What = r.T("page.diff." + d.Path)
			if d.Path == "revises" {
				row.Old, row.New = short12(d.Old), short12(d.New)
			}
			put(r.T("page.block.family"), row)
		case revise.Source:
			row.What = r.T("page.diff.source")
			row.Old, row.New = r.sourceLine(d.Old), r.sourceLine(d.New)
			put(r.T("page.block.family"), row)
		case revise.FigureP:
			row.What = r.figureAt(c, was, d.Path)
			put(r.T("page.nav.engine"), row)
		case revise.Nominal, revise.Limit:
			row.What = c.charName(r, was, d.Char)
			row.Small = r.T("page.diff.nominal")
			if d.What == revise.Limit {
				c.limitRow(r, was, d, &row)
			}
			put(c.partOf(r, was, d.Char), row)
		default:
			row.What, row.Small = d.Path, ""
			group := r.T("page.diff.rest")
			if d.Char != "" {
				row.What, row.Small, group = c.charName(r, was, d.Char), d.Path, c.partOf(r, was, d.Char)
			}
			put(group, row)
		}
	}
	if len(v.Groups) == 0 {
		v.Empty = r.T("page.diff.none")
	}
	return v
}

func (c *Case) limitRow(r Reader, was *Case, d revise.Difference, row *DiffRow) {
	row.Small = r.T("page.diff.limit", "for", r.or("page.limit."+d.For, d.For))
	if where := c.whereLimit(r, &family.Limit{Where: d.Where}); where != "" {
		row.Small += ", " + where
	}
	label := func(k *Case, key cite.Key, s cite.Status) (string, string) {
		return k.source(string(key)), k.status(r, string(s))
	}
	old, oldStatus := label(was, d.OldSource, d.OldStatus)
	if d.New == "" {
		row.New = r.T("page.diff.dropped")
		row.Was = old + " · " + oldStatus
		if so := c.without(was, d); so != "" {
			row.So = r.T("page.diff.dropped." + so)
		}
		return
	}
	row.From, row.Status = label(c, d.Source, d.Status)
	row.Weak = d.Status != cite.ManualInHand && d.Status != cite.CopiedTable
	if d.Old != "" && (old != row.From || oldStatus != row.Status) {
		row.Was = old + " · " + oldStatus
	}
}

// without names what judges the values for which a limit was dropped: the limit
// for the other state where there is one ("reuse", "new": the one that is gone),
// nothing ("none"), or "" where the same kind of limit still holds.
func (c *Case) without(was *Case, d revise.Difference) string {
	so := ""
	for i := range was.Layout.Places {
		o := &was.Layout.Places[i]
		if o.Char.ID != d.Char {
			continue
		}
		at, ok := c.Layout.Find(o.ID)
		if !ok {
			continue
		}
		n := &c.Layout.Places[at]
		lost, other := o.Used != nil && n.Used == nil, n.New
		if d.For == "new" {
			lost, other = o.New != nil && n.New == nil, n.Used
		}
		switch {
		case !lost:
		case other != nil:
			return d.For
		default:
			so = "none"
		}
	}
	return so
}

// charName and partOf find a name in the new version, else in the old.
func (c *Case) charName(r Reader, was *Case, id string) string {
	for _, k := range []*Case{c, was} {
		f := k.Layout.Family
		for i := range f.Characteristics {
			if f.Characteristics[i].ID == id {
				return f.Characteristics[i].Name.In(r.Lang)
			}
		}
	}
	return id
}

func (c *Case) partOf(r Reader, was *Case, id string) string {
	comp := componentOf(id)
	if !c.has(comp) {
		return was.Part(r, comp)
	}
	return c.Part(r, comp)
}

func (r Reader) figureAt(c, was *Case, path string) string {
	for _, k := range []*Case{c, was} {
		for _, g := range revise.Figures(&k.Layout.Family.Engine) {
			if g.Path == path {
				return r.figure(g)
			}
		}
	}
	return path
}

// sourceLine is a source as a difference has it: title, kind, place, seen.
func (r Reader) sourceLine(text string) string {
	p := strings.Split(text, "\x00")
	if len(p) != 4 {
		return ""
	}
	return titled(p[0], p[2]) + " · " + r.T("page.source.kind."+p[1]) + " · " + r.T("page.source.seen."+strings.ReplaceAll(p[3], " ", "-"))
}

// difference writes a value of a difference for this reader.
func (r Reader) difference(what revise.Part, text string) string {
	switch {
	case text == "":
		return ""
	case what == revise.Limit:
		return r.boundsText(text)
	case what == revise.Head || what == revise.Source:
		return text
	}
	parts := strings.Split(text, ", ")
	for i, p := range parts {
		if q, err := unit.Parse(p, "", '.'); err == nil {
			parts[i] = r.With(q.Text, q.Unit)
		}
	}
	if r.Mark == ',' {
		return strings.Join(parts, "; ")
	}
	return strings.Join(parts, ", ")
}

// boundsText says bounds as a patch writes them in words.
func (r Reader) boundsText(text string) string {
	if strings.HasPrefix(text, "must") {
		return r.T("page.limit.must")
	}
	var l family.Limit
	for _, part := range strings.Split(text, ", ") {
		which, value, _ := strings.Cut(part, " ")
		q, err := unit.Parse(value, "", '.')
		switch {
		case err != nil:
			return text
		case which == "min":
			l.Min = q
		default:
			l.Max = q
		}
	}
	return r.limitRange(&l)
}

// sourceChoices lists the sources that a limit may name, the draft's own first.
func (m *Making) sourceChoices(chosen string) []Choice {
	out := append(choicesOf(m.Patch.Sources, chosen), choicesOf(m.Base.Family.Sources, chosen)...)
	var rest []Choice
	for id, s := range m.Library.Sources {
		rest = append(rest, Choice{id, titled(s.Title, s.Place), id == chosen})
	}
	sort.Slice(rest, func(i, j int) bool { return rest[i].Text < rest[j].Text })
	return append(out, rest...)
}
