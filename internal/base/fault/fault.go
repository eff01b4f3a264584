// Package fault is what can go wrong outside our own code: an unreadable file,
// a number that is no number, an unknown position. A fault carries a message
// key and its arguments; the sentence itself stands in the word files, so that
// one mistake reads the same on a page, in a terminal and in an answer to a
// program. A worn journal is a finding, never a fault; a wrong slice length of
// our own is a panic.
package fault

import (
	"errors"
	"fmt"
	"maps"
	"sort"
	"strings"
)

// Code says what the caller can do about a fault.
type Code string

// The six codes.
const (
	Invalid  Code = "invalid"  // what was given cannot be understood; mend it
	Missing  Code = "missing"  // what was named does not exist
	Conflict Code = "conflict" // it contradicts what is already stored
	Refused  Code = "refused"  // understood, but not allowed
	TooLarge Code = "toolarge" // beyond a stated bound
	Broken   Code = "broken"   // the machine failed: disk, database, network
)

// Args are the named arguments of a message.
type Args map[string]string

// Fault is one problem at one place.
type Fault struct {
	Code Code
	Key  string // message key in the word files
	Args Args
	File string // "" where there is no file
	Line int    // 1-based; 0 where unknown
	Col  int    // 1-based; 0 where unknown
	Path string // place inside a document, e.g. characteristics[3].limits[0].min
	Err  error  // the cause, if another program gave one
}

// New makes a fault from a key and alternating argument names and values.
// An odd list is a mistake of ours and panics.
func New(code Code, key string, pairs ...string) *Fault {
	if len(pairs)%2 != 0 {
		panic("fault: odd argument list for " + key)
	}
	f := &Fault{Code: code, Key: key}
	if len(pairs) > 0 {
		f.Args = make(Args, len(pairs)/2)
		for i := 0; i < len(pairs); i += 2 {
			f.Args[pairs[i]] = pairs[i+1]
		}
	}
	return f
}

// With returns a copy of f with one more argument.
func (f *Fault) With(name, value string) *Fault {
	g := *f
	g.Args = maps.Clone(f.Args)
	if g.Args == nil {
		g.Args = Args{}
	}
	g.Args[name] = value
	return &g
}

// At returns a copy of f placed at a file, line and column.
func (f *Fault) At(file string, line, col int) *Fault {
	g := *f
	g.File, g.Line, g.Col = file, line, col
	return &g
}

// In returns a copy of f placed at a path inside a document.
func (f *Fault) In(path string) *Fault {
	g := *f
	g.Path = path
	return &g
}

// Because returns a copy of f with its cause.
func (f *Fault) Because(err error) *Fault {
	g := *f
	g.Err = err
	return &g
}

// Unwrap gives the cause.
func (f *Fault) Unwrap() error { return f.Err }

// Error is the developer's form: place, key and arguments in a fixed order.
// People read the sentence that the word files make of it.
func (f *Fault) Error() string {
	var b strings.Builder
	if f.File != "" {
		fmt.Fprintf(&b, "%s:%d:%d: ", f.File, f.Line, f.Col)
	}
	b.WriteString(f.Key)
	names := make([]string, 0, len(f.Args))
	for n := range f.Args {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		fmt.Fprintf(&b, " %s=%q", n, f.Args[n])
	}
	if f.Path != "" {
		fmt.Fprintf(&b, " in=%q", f.Path)
	}
	if f.Err != nil {
		fmt.Fprintf(&b, ": %v", f.Err)
	}
	return b.String()
}

// List is every problem found in one go.
type List []*Fault

// Error joins the developer's forms, one a line.
func (l List) Error() string {
	lines := make([]string, len(l))
	for i, f := range l {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// OrNil returns nil for an empty list, so that it can be returned as an error.
func (l List) OrNil() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// Sort orders a list by file, line, column and key.
func (l List) Sort() {
	sort.SliceStable(l, func(i, j int) bool {
		a, b := l[i], l[j]
		switch {
		case a.File != b.File:
			return a.File < b.File
		case a.Line != b.Line:
			return a.Line < b.Line
		case a.Col != b.Col:
			return a.Col < b.Col
		}
		return a.Key < b.Key
	})
}

// All flattens any error into a list: a List stays, a Fault becomes a list of
// one, whatever wraps them; another error becomes a Broken fault with the key
// "fault.other".
func All(err error) List {
	var list List
	var one *Fault
	switch {
	case err == nil:
		return nil
	case errors.As(err, &list):
		return list
	case errors.As(err, &one):
		return List{one}
	}
	return List{New(Broken, "fault.other", "error", err.Error()).Because(err)}
}
