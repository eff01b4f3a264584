package revise

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"sort"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/know/file"
	"fettle/internal/know/source"
)

// Apply writes a patch into the text of a family. What the patch does not name
// stays as it is, byte for byte: remarks, order, spaces, how values are written.
// The result is read again and held against what was asked before it is given
// back; it is not yet linted.
//
// Errors: every problem at once, each with the path of the change it belongs
// to: a changed limit without source or status, a dropped one without reason, a
// base in which something else stands than the patch says, a file written in a
// way that this cannot follow, such as with aliases.
func Apply(family []byte, p Patch) ([]byte, fault.List) {
	faults := p.check()
	root, was, bad := file.Tree("family", family)
	if faults = append(faults, bad...); len(faults) > 0 {
		return nil, faults
	}
	a := &applying{edit: edit{text: newText(family)}, root: root, tree: was, by: map[string]*characteristic{}}
	if a.heads(&p) {
		a.changes(p.Changes)
		a.sources(p.cited())
	}
	if len(a.faults) > 0 {
		return nil, a.faults
	}
	out, ok := a.done()
	if !ok {
		return nil, fault.List{cannot("")}
	}
	_, now, bad := file.Tree("family", out)
	if len(bad) > 0 || !reflect.DeepEqual(now, a.tree) {
		return nil, fault.List{cannot("")}
	}
	return out, nil
}

// applying is a family's text, its nodes and its values while a patch goes in:
// every change is made in the text and, by itself, in the values.
type applying struct {
	edit
	root   *yaml.Node
	tree   any
	by     map[string]*characteristic
	faults fault.List
}

// characteristic is one of the family as text and as values, with what is to
// be done to its limits at once.
type characteristic struct {
	node   *yaml.Node
	values map[string]any
	drop   map[int]bool
	add    []limitText
}

type limitText struct{ written, kind string }

func (a *applying) say(path, key string, pairs ...string) {
	a.faults = append(a.faults, fault.New(fault.Invalid, key, pairs...).In(path))
}

func (a *applying) try(path string, ok bool) {
	if !ok {
		a.faults = append(a.faults, cannot(path))
	}
}

// heads writes id, name, note and which version this one revises.
func (a *applying) heads(p *Patch) bool {
	i, id := key(a.root, "id")
	top, ok := a.tree.(map[string]any)
	if i < 0 || !ok || id.Value != p.Base {
		a.say("id", "revise.other-base", "found", clip(p.Base))
		return false
	}
	if p.ID != p.Base {
		a.try("id", a.replace(id, p.ID))
		top["id"] = p.ID
	}
	k, revises := key(a.root, "revises")
	switch {
	case p.ID != p.Base && k >= 0:
		a.try("id", a.remove(a.root, k))
		delete(top, "revises")
	case p.ID == p.Base && k >= 0:
		a.try("id", a.replace(revises, quoted(p.Digest)))
		top["revises"] = p.Digest
	case p.ID == p.Base:
		a.try("id", a.follow(a.root, i, "revises", quoted(p.Digest)))
		top["revises"] = p.Digest
	}
	a.said(top, "name", p.Name, i)
	a.said(top, "note", p.Note, i)
	return true
}

// said writes a text of the family in every language that it stands in: what
// was said of another engine is not left standing.
func (a *applying) said(top map[string]any, name, text string, behind int) {
	if text == "" {
		return
	}
	k, m := key(a.root, name)
	if k < 0 {
		a.try(name, a.follow(a.root, behind, name, "{en: "+quoted(text)+"}"))
		top[name] = map[string]any{"en": text}
		return
	}
	values, ok := top[name].(map[string]any)
	if !ok || m.Kind != yaml.MappingNode {
		a.try(name, false)
		return
	}
	for i := 0; i+1 < len(m.Content); i += 2 {
		a.try(name, a.replace(m.Content[i+1], quoted(text)))
		values[m.Content[i].Value] = text
	}
}

func quoted(s string) string {
	b, err := json.Marshal(s)
	if err != nil {
		panic("revise: a text is always JSON: " + err.Error())
	}
	return strings.NewReplacer(`\u003c`, "<", `\u003e`, ">", `\u0026`, "&").Replace(string(b))
}

func (a *applying) changes(list []Change) {
	for i := range list {
		c := &list[i]
		t, _ := parse(c.Path)
		if t.figure != "" {
			a.figure(c, t.figure)
			continue
		}
		ch := a.characteristic(t.char)
		if ch == nil {
			a.say(c.Path, "revise.no-characteristic", "found", t.char)
			continue
		}
		switch {
		case t.add != "":
			a.grow(c, ch, t.add)
		case t.limit >= 0:
			a.limit(c, ch, t.limit)
		default:
			a.nominal(c, ch)
		}
	}
	var order []string
	for id := range a.by {
		order = append(order, id)
	}
	sort.Strings(order)
	for _, id := range order {
		a.settle(id, a.by[id])
	}
}

// characteristic finds one by its id.
func (a *applying) characteristic(id string) *characteristic {
	if ch, ok := a.by[id]; ok {
		return ch
	}
	_, list := key(a.root, "characteristics")
	values, _ := a.tree.(map[string]any)["characteristics"].([]any)
	if list == nil || list.Kind != yaml.SequenceNode || len(values) != len(list.Content) {
		return nil
	}
	for i, n := range list.Content {
		if _, v := key(n, "id"); v != nil && v.Value == id {
			m, ok := values[i].(map[string]any)
			if !ok {
				return nil
			}
			a.by[id] = &characteristic{node: n, values: m, drop: map[int]bool{}}
			return a.by[id]
		}
	}
	return nil
}

// figure changes a figure of the engine.
func (a *applying) figure(c *Change, name string) {
	kind, ok := kindOf(name)
	if !ok {
		a.say(c.Path, "revise.no-path", "found", c.Path)
		return
	}
	_, n := key(a.root, "engine")
	v := a.tree.(map[string]any)["engine"]
	steps := strings.FieldsFunc(name, func(r rune) bool { return r == '.' || r == '[' || r == ']' })
	for _, s := range steps[:len(steps)-1] {
		if n, v, ok = below(n, v, s); !ok {
			a.say(c.Path, "revise.no-path", "found", c.Path)
			return
		}
	}
	last := steps[len(steps)-1]
	values, ok := v.(map[string]any)
	if !ok || n == nil || n.Kind != yaml.MappingNode {
		a.say(c.Path, "revise.no-path", "found", c.Path)
		return
	}
	a.set(c, kind, n, values, last, "")
}

// below goes one step down in nodes and values alike.
func below(n *yaml.Node, v any, step string) (*yaml.Node, any, bool) {
	switch x := v.(type) {
	case map[string]any:
		k, down := key(n, step)
		return down, x[step], k >= 0
	case []any:
		i, err := strconv.Atoi(step)
		if err != nil || n == nil || n.Kind != yaml.SequenceNode || i >= len(x) || i >= len(n.Content) {
			return nil, nil, false
		}
		return n.Content[i], x[i], true
	}
	return nil, nil, false
}

// set writes a value of a mapping, adds it or takes it out. A value that is new
// stands behind the key named, or behind the first there is.
func (a *applying) set(c *Change, kind Kind, m *yaml.Node, values map[string]any, name, behind string) {
	k, n := key(m, name)
	if was := plainText(n); was != c.Old {
		a.say(c.Path, "revise.moved", "found", clip(was), "expected", clip(c.Old))
		return
	}
	if c.New == "" {
		if k >= 0 {
			a.try(c.Path, a.remove(m, k))
			delete(values, name)
		}
		return
	}
	text, err := written(kind, c.New)
	if err != nil {
		for _, f := range fault.All(err) {
			a.faults = append(a.faults, f.In(c.Path))
		}
		return
	}
	values[name] = valueOf(kind, c.New)
	if k >= 0 {
		a.try(c.Path, a.replace(n, text))
		return
	}
	i, _ := key(m, behind)
	a.try(c.Path, a.follow(m, max(i, 0), name, text))
}

// plainText is a value as a patch writes it.
func plainText(n *yaml.Node) string {
	if n == nil {
		return ""
	}
	if n.Kind != yaml.SequenceNode {
		return strings.ReplaceAll(n.Value, "−", "-")
	}
	var out []string
	for _, c := range n.Content {
		out = append(out, plainText(c))
	}
	return strings.Join(out, ", ")
}

func valueOf(k Kind, text string) any {
	var list []any
	switch k {
	case Size:
		return text
	case Count:
		return json.Number(text)
	}
	for _, part := range strings.Split(text, ", ") {
		if k == Order {
			list = append(list, json.Number(part))
		} else {
			list = append(list, part)
		}
	}
	return list
}

func (a *applying) nominal(c *Change, ch *characteristic) {
	behind := "id"
	for _, k := range []string{"name", "per", "quantity", "unit", "decimals", "gauges", "condition"} {
		if i, _ := key(ch.node, k); i >= 0 {
			behind = k
		}
	}
	a.set(c, Size, ch.node, ch.values, "nominal", behind)
}

// limit changes the bounds of a limit, or marks it as dropped.
func (a *applying) limit(c *Change, ch *characteristic, i int) {
	_, list := key(ch.node, "limits")
	values, _ := ch.values["limits"].([]any)
	if list == nil || list.Kind != yaml.SequenceNode || i >= len(list.Content) || i >= len(values) {
		a.say(c.Path, "revise.no-limit", "found", c.Path)
		return
	}
	n := list.Content[i]
	v, ok := values[i].(map[string]any)
	if !ok || n.Kind != yaml.MappingNode {
		a.try(c.Path, false)
		return
	}
	if was := boundsText(n); was != c.Old {
		a.say(c.Path, "revise.moved", "found", clip(was), "expected", clip(c.Old))
		return
	}
	if c.New == "" {
		ch.drop[i] = true
		_, for_ := key(n, "for")
		a.remark(ch.node, fmt.Sprintf("Limit for %s (%s) dropped: %s", plainText(for_), c.Old, strings.TrimSpace(c.Reason)))
		return
	}
	b, err := bounds(c.New)
	if err != nil || b.Must != (plainText(second(key(n, "must"))) != "") {
		a.say(c.Path, "revise.bad-bounds", "found", clip(c.New))
		return
	}
	a.bound(c.Path, n, v, "max", b.Max.String(), "for", "where", "min")
	a.bound(c.Path, n, v, "min", b.Min.String(), "for", "where")
	a.bound(c.Path, n, v, "source", string(c.Source), "for")
	a.bound(c.Path, n, v, "status", string(c.Status), "for", "source")
}

func second(_ int, n *yaml.Node) *yaml.Node { return n }

// bound writes one value of a limit if it is another, adds it or takes it out.
func (a *applying) bound(path string, n *yaml.Node, values map[string]any, name, text string, behind ...string) {
	k, old := key(n, name)
	switch {
	case plainText(old) == text:
		return
	case text == "":
		a.try(path, a.remove(n, k))
		delete(values, name)
		return
	case k >= 0:
		a.try(path, a.replace(old, text))
	default:
		at := 0
		for _, b := range behind {
			if i, _ := key(n, b); i >= 0 {
				at = i
			}
		}
		a.try(path, a.follow(n, at, name, text))
	}
	values[name] = text
}

// boundsText is a limit's bounds as a patch writes them.
func boundsText(n *yaml.Node) string {
	var out []string
	for _, k := range []string{"must", "min", "max"} {
		if i, v := key(n, k); i >= 0 {
			out = append(out, k+" "+plainText(v))
		}
	}
	return strings.Join(out, ", ")
}

// grow marks a limit to be added. Only what has a finding can have one: nothing
// would say what it means to be outside.
func (a *applying) grow(c *Change, ch *characteristic, for_ string) {
	if c.Old != "" {
		a.say(c.Path, "revise.moved", "found", "", "expected", clip(c.Old))
		return
	}
	if i, _ := key(ch.node, "finding"); i < 0 {
		a.say(c.Path, "revise.no-finding")
		return
	}
	b, err := bounds(c.New)
	if _, q := key(ch.node, "quantity"); err != nil || b.Must != (plainText(q) == "check") {
		a.say(c.Path, "revise.bad-bounds", "found", clip(c.New))
		return
	}
	v := map[string]any{"for": for_, "source": string(c.Source), "status": string(c.Status)}
	parts := []string{"for: " + for_}
	for _, x := range []struct{ name, text string }{{"must", map[bool]string{true: "pass"}[b.Must]}, {"min", b.Min.String()}, {"max", b.Max.String()}} {
		if x.text != "" {
			parts, v[x.name] = append(parts, x.name+": "+x.text), x.text
		}
	}
	parts = append(parts, "source: "+string(c.Source), "status: "+string(c.Status))
	ch.add = append(ch.add, limitText{"{" + strings.Join(parts, ", ") + "}", for_})
	list, _ := ch.values["limits"].([]any)
	ch.values["limits"] = append(list[:len(list):len(list)], v)
}

// settle takes dropped limits out of a characteristic and puts new ones in.
func (a *applying) settle(id string, ch *characteristic) {
	if len(ch.drop)+len(ch.add) == 0 {
		return
	}
	path := id + ".limits"
	k, list := key(ch.node, "limits")
	old := 0
	if list != nil {
		old = len(list.Content)
	}
	values, _ := ch.values["limits"].([]any)
	var kept []any
	for i, v := range values {
		if !ch.drop[i] {
			kept = append(kept, v)
		}
	}
	ch.values["limits"] = kept
	var texts []string
	for _, l := range ch.add {
		texts = append(texts, l.written)
	}
	switch {
	case k < 0:
		a.try(path, a.follow(ch.node, len(ch.node.Content)-2, "limits", "["+strings.Join(texts, ", ")+"]"))
	case len(kept) == 0:
		delete(ch.values, "limits")
		a.try(path, a.remove(ch.node, k))
	case len(ch.drop) == old:
		a.try(path, a.bare(list) && a.replace(list, "["+strings.Join(texts, ", ")+"]"))
	default:
		a.try(path, len(ch.drop) == 0 || a.drop(list, ch.drop))
		for _, s := range texts {
			a.try(path, a.behind(list, s))
		}
	}
}

// cited are the patch's own sources that a change names.
func (p *Patch) cited() []source.Source {
	named := map[cite.Key]bool{}
	for i := range p.Changes {
		if p.Changes[i].New != "" {
			named[p.Changes[i].Source] = true
		}
	}
	var out []source.Source
	for _, s := range p.Sources {
		if named[s.ID] {
			out = append(out, s)
		}
	}
	return out
}

// sources writes the sources that the limits of this family bring.
func (a *applying) sources(list []source.Source) {
	if len(list) == 0 {
		return
	}
	top := a.tree.(map[string]any)
	var texts []string
	values, _ := top["sources"].([]any)
	for _, s := range list {
		text, v, ok := sourceText(s)
		if !ok {
			a.say("sources", "revise.bad-source", "found", clip(string(s.ID)))
			return
		}
		texts, values = append(texts, text), append(values, v)
	}
	top["sources"] = values
	if k, n := key(a.root, "sources"); k >= 0 {
		for _, t := range texts {
			a.try("sources", n.Kind == yaml.SequenceNode && a.behind(n, t))
		}
		return
	}
	behind := 0
	for _, k := range []string{"id", "name", "note"} {
		if i, _ := key(a.root, k); i >= 0 {
			behind = max(behind, i)
		}
	}
	if a.root.Style&yaml.FlowStyle != 0 {
		a.try("sources", a.follow(a.root, behind, "sources", "["+strings.Join(texts, ", ")+"]"))
		return
	}
	lines := ""
	for _, t := range texts {
		lines += a.eol + strings.Repeat(" ", a.root.Column+1) + "- " + t
	}
	a.try("sources", a.follow(a.root, behind, "sources", lines))
}

func sourceText(s source.Source) (text string, value map[string]any, ok bool) {
	value = map[string]any{"id": string(s.ID), "kind": s.Kind, "seen": s.Seen, "title": s.Title}
	parts := []string{"id: " + string(s.ID), "kind: " + s.Kind, "seen: " + s.Seen}
	if s.Place != "" {
		value["place"] = s.Place
		parts = append(parts, "place: "+quoted(s.Place))
	}
	parts = append(parts, "title: "+quoted(s.Title))
	ok = ids.MatchString(string(s.ID)) && slices.Contains(Kinds(), s.Kind) && slices.Contains(Seens(), s.Seen) && printable(s.Title) && printable(s.Place) && strings.TrimSpace(s.Title) != ""
	return "{" + strings.Join(parts, ", ") + "}", value, ok
}
