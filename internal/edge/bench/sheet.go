package bench

import (
	"fmt"
	"slices"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
	"fettle/internal/know/revise"
	"fettle/internal/know/source"
)

// TypedSheet is what was typed on one sheet of a draft. A field is named by the
// path of what it changes: engine.bore, block/bore.nominal; of a limit with
// .min, .max, .source, .status, .drop and .reason behind it. A field that was
// not sent is not changed.
type TypedSheet struct {
	Component string // "" is the engine
	Mark      byte
	Fields    map[string]string
	Source    source.Source // typed in beside; its key is made of its title
	From      string        // source of every limit changed here that names none: key, title or TypedIn
	Status    string        // and its review status
}

// TypedIn stands where a source is named for the one that is typed in on the same sheet.
const TypedIn = "+"

// EditDraft takes a sheet into a draft: all of it, or nothing and every problem
// with the field it belongs to.
func (b *Bench) EditDraft(id string, in TypedSheet) error {
	b.adopt.Lock()
	defer b.adopt.Unlock()
	d, err := b.Draft(id)
	if err != nil {
		return err
	}
	e := &sheetEdit{in: &in, d: d, was: map[string]revise.Change{}, shared: b.library.Sources}
	for _, c := range d.Patch.Changes {
		e.was[c.Path] = c
	}
	e.source()
	e.from = e.named("from", in.From)
	f := d.Base.Family
	if in.Component == "" {
		for _, g := range revise.Figures(&f.Engine) {
			e.figure(g)
		}
	}
	for i := range f.Characteristics {
		if c := &f.Characteristics[i]; in.Component != "" && c.Component() == in.Component {
			e.characteristic(c)
		}
	}
	if err := e.faults.OrNil(); err != nil {
		return err
	}
	mine := func(c revise.Change) bool {
		comp, _, _ := strings.Cut(revise.Char(c.Path), "/")
		return comp == in.Component
	}
	next := d.Patch
	next.Changes = append(slices.DeleteFunc(slices.Clone(next.Changes), mine), e.list...)
	_, text, _ := b.Library().Version(d.Base.Digest)
	if _, faults := revise.Apply(text, next); len(faults) > 0 && len(d.Faults) == 0 {
		return faults
	}
	return b.putDraft(id, &next)
}

// sheetEdit gathers the changes of one sheet.
type sheetEdit struct {
	in     *TypedSheet
	d      *Draft
	was    map[string]revise.Change
	own    cite.Key // of the source that was typed in
	from   cite.Key // of what names none
	shared map[string]source.Source
	list   []revise.Change
	faults fault.List
}

func (e *sheetEdit) wrong(field string, err error) {
	for _, f := range fault.All(err) {
		e.faults = append(e.faults, f.In(field))
	}
}

// field is what was typed; sent is false where the field was not there.
func (e *sheetEdit) field(name string) (text string, sent bool) {
	text, sent = e.in.Fields[name]
	return strings.TrimSpace(text), sent
}

// keep leaves a change as the draft has it.
func (e *sheetEdit) keep(path string) {
	if c, ok := e.was[path]; ok {
		e.list = append(e.list, c)
	}
}

func (e *sheetEdit) put(c revise.Change) { e.list = append(e.list, c) }

// source makes an entry of the source list of what was typed in for one.
func (e *sheetEdit) source() {
	s := e.in.Source
	s.Title, s.Place = strings.TrimSpace(s.Title), strings.TrimSpace(s.Place)
	if s.Title == "" {
		return
	}
	if !slices.Contains(revise.Kinds(), s.Kind) {
		e.wrong("source.kind", fault.New(fault.Invalid, "bench.no-source-kind"))
	}
	if !slices.Contains(revise.Seens(), s.Seen) {
		e.wrong("source.seen", fault.New(fault.Invalid, "bench.no-source-seen"))
	}
	e.faults = append(e.faults, append(tooLong("source.title", s.Title), tooLong("source.place", s.Place)...)...)
	for _, known := range append(slices.Clone(e.d.Base.Family.Sources), e.d.Patch.Sources...) {
		if known.Title == s.Title && known.Place == s.Place && known.Kind == s.Kind && known.Seen == s.Seen {
			e.own = known.ID // sent twice
			return
		}
	}
	s.ID = revise.KeyOf(s.Title, func(k cite.Key) bool {
		_, there := e.shared[string(k)]
		_, own := e.d.Base.Family.Source(k)
		return there || own || slices.ContainsFunc(e.d.Patch.Sources, func(t source.Source) bool { return t.ID == k })
	})
	e.own = s.ID
	e.d.Patch.Sources = append(slices.Clone(e.d.Patch.Sources), s)
}

// named finds the source that a field names, by its key or its title.
func (e *sheetEdit) named(field, text string) cite.Key {
	text = strings.TrimSpace(text)
	if text == "" {
		return ""
	}
	if text == TypedIn {
		if e.own == "" && strings.TrimSpace(e.in.Source.Title) == "" {
			e.wrong("source.title", fault.New(fault.Invalid, "bench.no-source-title"))
		}
		return e.own
	}
	for _, s := range append(slices.Clone(e.d.Patch.Sources), e.d.Base.Family.Sources...) {
		if string(s.ID) == text || s.Title == text {
			return s.ID
		}
	}
	for id, s := range e.shared {
		if id == text || s.Title == text {
			return s.ID
		}
	}
	e.wrong(field, fault.New(fault.Invalid, "bench.unknown-source", "found", text))
	return ""
}

func (e *sheetEdit) figure(g revise.Figure) {
	text, sent := e.field(g.Path)
	if !sent {
		e.keep(g.Path)
		return
	}
	written, err := "", error(nil)
	switch g.Kind {
	case revise.Size:
		written, err = e.size(text, g.Text, g.Unit, g.Dim)
	case revise.Count:
		written = text
	case revise.Order:
		written = strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == ' ' }), ", ")
	case revise.Steps:
		written, err = e.steps(text, g)
	}
	if err != nil {
		e.wrong(g.Path, err)
		return
	}
	if written != g.Text {
		e.put(revise.Change{Path: g.Path, Old: g.Text, New: written})
	}
}

// size reads a quantity as files write it; the same quantity written otherwise
// stays as it stands.
func (e *sheetEdit) size(text, was, unitName string, dim unit.Dim) (string, error) {
	if text == "" {
		return "", nil
	}
	q, err := unit.Parse(text, unitName, e.in.Mark)
	if err != nil {
		return "", err
	}
	if q.Dim != dim {
		return "", fault.New(fault.Invalid, "bench.wrong-unit", "found", q.Unit, "expected", strings.Join(unit.Names(dim), ", "))
	}
	if old, err := unit.Parse(was, "", '.'); err == nil && old.Dim == q.Dim && old.N == q.N {
		return was, nil
	}
	return q.String(), nil
}

// steps reads quantities with semicolons between them, or with commas where the
// comma is not the decimal mark.
func (e *sheetEdit) steps(text string, g revise.Figure) (string, error) {
	var out []string
	was := strings.Split(g.Text, ", ")
	for i, part := range strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == ',' && e.in.Mark == '.' }) {
		old := ""
		if i < len(was) {
			old = was[i]
		}
		s, err := e.size(strings.TrimSpace(part), old, g.Unit, g.Dim)
		if err != nil {
			return "", err
		}
		if s != "" {
			out = append(out, s)
		}
	}
	return strings.Join(out, ", "), nil
}

func (e *sheetEdit) characteristic(c *family.Characteristic) {
	path := c.ID + ".nominal"
	if text, sent := e.field(path); !sent {
		e.keep(path)
	} else if written, err := e.size(text, c.Nominal.String(), orText(c.Nominal.Unit, c.Unit), c.Dim()); err != nil {
		e.wrong(path, err)
	} else if written != c.Nominal.String() {
		e.put(revise.Change{Path: path, Old: c.Nominal.String(), New: written})
	}
	for i := range c.Limits {
		e.limit(c, fmt.Sprintf("%s.limits[%d]", c.ID, i), &c.Limits[i])
	}
	for _, f := range []string{"new", "reuse"} {
		e.limit(c, c.ID+".limits[+"+f+"]", nil)
	}
}

func orText(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// limit reads the fields of one limit; old is nil for one that the base does
// not have.
func (e *sheetEdit) limit(c *family.Characteristic, path string, old *family.Limit) {
	var was revise.Bounds
	if old != nil {
		was = revise.Of(old)
	}
	lo, sentLo := e.field(path + ".min")
	hi, sentHi := e.field(path + ".max")
	drop, _ := e.field(path + ".drop")
	key, sentKey := e.field(path + ".source")
	if !sentLo && !sentHi && !sentKey && drop == "" {
		e.keep(path)
		return
	}
	ch := revise.Change{Path: path, Old: was.String()}
	if drop != "" && old != nil {
		ch.Reason, _ = e.field(path + ".reason")
		e.labelled(ch)
		return
	}
	now := revise.Bounds{Must: was.Must}
	if !was.Must {
		now.Min = e.bound(path+".min", lo, was.Min, c)
		now.Max = e.bound(path+".max", hi, was.Max, c)
	}
	if !now.Min.IsZero() && !now.Max.IsZero() && now.Min.Dim == now.Max.Dim && now.Min.N > now.Max.N {
		e.wrong(path+".min", fault.New(fault.Invalid, "family.min-above-max", "min", now.Min.String(), "max", now.Max.String()))
	}
	status, _ := e.field(path + ".status")
	if named := string(e.named(path+".source", key)); named != "" || key == "" {
		key = named
	} else {
		return // what is wrong with it was said
	}
	ch.New = now.String()
	same := ch.New == ch.Old
	if !same {
		key, status = orText(key, string(e.from)), orText(status, e.in.Status)
	}
	ch.Source, ch.Status = cite.Key(key), cite.Status(status)
	switch {
	case same && old == nil, same && key == "" && status == "", same && e.back(path, key, status):
		return
	case same: // other labels for the same bounds: what was not chosen stays
		ch.Source, ch.Status = cite.Key(orText(key, string(old.Source))), cite.Status(orText(status, string(old.Status)))
		if ch.Source == old.Source && ch.Status == old.Status {
			return
		}
	case ch.New == "" && old != nil:
		e.wrong(path+".min", fault.New(fault.Invalid, "bench.drop-instead"))
		return
	}
	e.labelled(ch)
}

// back reports a change whose bounds were put back to the base's while its
// labels, which the form sends along, are still those of the change.
func (e *sheetEdit) back(path, key, status string) bool {
	c, ok := e.was[path]
	return ok && c.New != c.Old && string(c.Source) == key && string(c.Status) == status
}

// labelled takes a change of a limit if it says where it comes from.
func (e *sheetEdit) labelled(c revise.Change) {
	if faults := c.Labelled(); len(faults) > 0 {
		e.faults = append(e.faults, faults...)
		return
	}
	e.put(c)
}

func (e *sheetEdit) bound(field, text string, was unit.Quantity, c *family.Characteristic) unit.Quantity {
	written, err := e.size(text, was.String(), orText(was.Unit, c.Unit), c.Dim())
	if err != nil {
		e.wrong(field, err)
		return was
	}
	if written == "" {
		return unit.Quantity{}
	}
	q, err := unit.Parse(written, "", '.')
	if err != nil {
		e.wrong(field, err)
	}
	return q
}
