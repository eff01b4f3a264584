package revise

import (
	"bytes"
	"sort"
	"strings"

	"go.yaml.in/yaml/v3"

	"fettle/internal/base/fault"
)

// splice puts text in the place of a part of the file.
type splice struct {
	from, to int
	put      string
}

// edit gathers splices of one file.
type edit struct {
	*text
	list []splice
}

// cannot says that a file is written in a way that this room does not follow.
func cannot(path string) *fault.Fault {
	return fault.New(fault.Invalid, "revise.cannot-edit").In(path)
}

func (e *edit) put(from, to int, s string) { e.list = append(e.list, splice{from, to, s}) }

// replace writes another text in the place of a node.
func (e *edit) replace(n *yaml.Node, s string) bool {
	from, ok := e.at(n)
	to, good := e.end(n)
	if !ok || !good || n.Style&yaml.TaggedStyle != 0 {
		return false
	}
	e.put(from, to, s)
	return true
}

// bare reports a node in which no remark stands.
func (e *edit) bare(n *yaml.Node) bool {
	from, ok := e.at(n)
	to, good := e.end(n)
	return ok && good && from <= to && bytes.IndexByte(e.b[from:to], '#') < 0
}

// follow writes a further key behind the one at index i of a mapping.
func (e *edit) follow(m *yaml.Node, i int, name, value string) bool {
	if i < 0 || i+1 >= len(m.Content) {
		return false
	}
	at, ok := e.end(m.Content[i+1])
	if !ok {
		return false
	}
	if !strings.HasPrefix(value, e.eol) {
		value = " " + value
	}
	if m.Style&yaml.FlowStyle != 0 {
		e.put(at, at, ", "+name+":"+value)
		return true
	}
	at = e.lineEnd(at)
	e.put(at, at, e.eol+strings.Repeat(" ", m.Content[0].Column-1)+name+":"+value)
	return true
}

// remove takes the key at index i out of a mapping. A remark that would go with
// it stops it.
func (e *edit) remove(m *yaml.Node, i int) bool {
	var from, to int
	var ok, good bool
	flow := m.Style&yaml.FlowStyle != 0
	switch {
	case i > 0:
		from, ok = e.end(m.Content[i-1])
		to, good = e.end(m.Content[i+1])
		if ok && good && !flow {
			from, to = e.lineEnd(from), e.lineEnd(to)
		}
	case i == 0 && len(m.Content) > 2:
		from, ok = e.at(m.Content[0])
		to, good = e.at(m.Content[2])
	}
	return ok && good && e.cut(from, to)
}

// cut takes out a part of the file in which no remark stands.
func (e *edit) cut(from, to int) bool {
	if from > to || bytes.IndexByte(e.b[from:to], '#') >= 0 {
		return false
	}
	e.put(from, to, "")
	return true
}

// behind writes a further member at the end of a list.
func (e *edit) behind(list *yaml.Node, member string) bool {
	n := len(list.Content)
	if n == 0 {
		return e.replace(list, "["+member+"]")
	}
	at, ok := e.end(list.Content[n-1])
	first, good := e.at(list.Content[0])
	if !ok || !good {
		return false
	}
	if list.Style&yaml.FlowStyle != 0 {
		e.put(at, at, ","+e.eol+strings.Repeat(" ", list.Content[0].Column-1)+member)
		return true
	}
	_, dash, ok := e.lead(first)
	if !ok || dash < 0 {
		return false
	}
	at = e.lineEnd(at)
	e.put(at, at, e.eol+strings.Repeat(" ", dash)+"- "+member)
	return true
}

// drop takes members out of a list, some but not all.
func (e *edit) drop(list *yaml.Node, gone map[int]bool) bool {
	flow := list.Style&yaml.FlowStyle != 0
	for i := 0; i < len(list.Content); i++ {
		if !gone[i] {
			continue
		}
		last := i
		for gone[last+1] {
			last++
		}
		var from, to int
		var ok, good bool
		if last+1 < len(list.Content) {
			from, ok = e.at(list.Content[i])
			to, good = e.at(list.Content[last+1])
		} else {
			from, ok = e.end(list.Content[i-1])
			to, good = e.end(list.Content[last])
			if ok && good && !flow {
				from, to = e.lineEnd(from), e.lineEnd(to)
			}
		}
		if !ok || !good || !e.cut(from, to) {
			return false
		}
		i = last
	}
	return true
}

// remark writes a line of words above a member of a list, or at the end of the
// file where nothing can stand above it.
func (e *edit) remark(n *yaml.Node, words string) {
	at, ok := e.at(n)
	if !ok {
		at = 0
	}
	start, dash, clean := e.lead(at)
	if ok && clean && dash >= 0 {
		e.put(start, start, strings.Repeat(" ", dash)+"# "+words+e.eol)
		return
	}
	end := len(e.b)
	e.put(end, end, e.eol+"# "+words+e.eol)
}

// done puts all splices in; ok is false where two meet.
func (e *edit) done() (out []byte, ok bool) {
	sort.SliceStable(e.list, func(i, j int) bool {
		a, b := e.list[i], e.list[j]
		return a.from < b.from || a.from == b.from && a.to < b.to
	})
	at := 0
	for _, s := range e.list {
		if s.from < at {
			return nil, false
		}
		out = append(out, e.b[at:s.from]...)
		out = append(out, s.put...)
		at = s.to
	}
	return append(out, e.b[at:]...), true
}
