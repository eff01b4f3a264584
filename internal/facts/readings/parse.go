package readings

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
)

// Reader says what a file of readings is held against.
type Reader struct {
	Layout      *family.Layout
	Instruments map[string]bool // known types; nil is not checked
	Conditions  map[string]bool // known conditions; nil means those that the family names
	MostBytes   int             // 0 means MostBytes
}

// Parse reads a file of readings of the engine that layout describes. It is all
// or nothing: with any fault the sheet is empty. Every faulty line is reported
// with line and column, both from 1, the column in characters; beyond 200
// faults the rest is counted.
func Parse(name string, text []byte, layout *family.Layout, instruments map[string]bool) (Sheet, fault.List) {
	return Reader{Layout: layout, Instruments: instruments}.Parse(name, text)
}

// Parse reads a file of readings; see the function Parse.
func (r Reader) Parse(name string, text []byte) (Sheet, fault.List) {
	if r.MostBytes == 0 {
		r.MostBytes = MostBytes
	}
	if r.Conditions == nil {
		r.Conditions = conditionsOf(r.Layout)
	}
	p := &parser{Reader: r, name: name, declared: map[string]int{}, gauges: map[string]bool{}, people: map[string]bool{},
		seen: map[spot]int{}}
	p.run(text)
	if len(p.faults) == 0 {
		return p.out, nil
	}
	p.faults.Sort()
	if p.unlisted > 0 {
		p.faults = append(p.faults, fault.New(fault.Invalid, "readings.more", "count", strconv.Itoa(p.unlisted)).At(name, p.lastLine, 1))
	}
	return Sheet{}, p.faults
}

func conditionsOf(l *family.Layout) map[string]bool {
	out := map[string]bool{}
	for i := range l.Family.Characteristics {
		for _, c := range l.Family.Characteristics[i].Condition {
			out[c] = true
		}
	}
	return out
}

type parser struct {
	Reader
	name     string
	t        splitter
	out      Sheet
	mark     byte           // decimal mark, 0 while not declared
	declared map[string]int // declaration -> line
	gauges   map[string]bool
	people   map[string]bool
	seen     map[spot]int // reading -> line
	number   *field       // first number with a mark in it
	faults   fault.List
	unlisted int
	lastLine int // of the faults that are only counted
}

// place is a spot in the text.
type place struct{ line, start, at int }

func (f field) place() place { return place{f.line, f.start, f.at} }

// end is the end of the text.
func (p *parser) end() place {
	s := p.t.s
	return place{1 + strings.Count(s, "\n"), 1 + strings.LastIndexByte(s, '\n'), len(s)}
}

// put reports a fault at a place, or counts it once the list is long.
func (p *parser) put(at place, f *fault.Fault) {
	if len(p.faults) >= mostFaults {
		p.unlisted, p.lastLine = p.unlisted+1, at.line
		return
	}
	p.faults = append(p.faults, f.At(p.name, at.line, column(p.t.s, at.start, at.at)))
}

func (p *parser) say(at place, key string, pairs ...string) {
	p.put(at, fault.New(fault.Invalid, key, pairs...))
}

func (p *parser) run(text []byte) {
	top := place{line: 1}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	switch what := archive(text); {
	case len(text) > p.MostBytes:
		p.put(top, fault.New(fault.TooLarge, "readings.too-large", "most", size(p.MostBytes)))
		return
	case what != "":
		p.say(top, "readings.archive", "found", what)
		return
	case len(bytes.TrimSpace(text)) == 0:
		p.say(top, "readings.empty")
		return
	}
	p.t = splitter{s: string(text), line: 1}
	if !p.first() {
		return
	}
	p.declarations()
	p.table()
}

// archive names what a file is that only bears the name of a text.
func archive(text []byte) string {
	for _, m := range []struct{ magic, what string }{
		{"PK", "zip"}, {"\x1f\x8b", "gzip"}, {"BZh", "bzip2"}, {"\xfd7zXZ", "xz"}, {"7z\xbc\xaf", "7z"},
		{"\x28\xb5\x2f\xfd", "zstd"}, {"\xd0\xcf\x11\xe0", "OLE"}, {"%PDF", "PDF"}, {"\xff\xfe", "UTF-16"},
		{"\xfe\xff", "UTF-16"},
	} {
		if bytes.HasPrefix(text, []byte(m.magic)) {
			return m.what
		}
	}
	return ""
}

func size(n int) string {
	switch {
	case n%(1<<20) == 0:
		return strconv.Itoa(n>>20) + " MiB"
	case n%(1<<10) == 0:
		return strconv.Itoa(n>>10) + " KiB"
	}
	return strconv.Itoa(n) + " bytes"
}

// table reads the header and, where it is the right one, the rows below it.
func (p *parser) table() {
	for p.t.more() {
		text, _ := p.t.peek()
		if strings.TrimSpace(text) != "" {
			break
		}
		p.t.skip()
	}
	at := place{p.t.line, p.t.off, p.t.off}
	if !p.t.more() {
		p.say(p.end(), "readings.no-header", "expected", strings.Join(header(), ", "))
		return
	}
	undeclared := p.declared["decimal"] == 0
	if p.declared["delimiter"] == 0 {
		p.noDelimiter(at)
	} else if fields, bad := p.next(); !bad && p.header(fields) {
		p.rows()
	}
	if undeclared {
		p.noDecimal(at)
	}
}

func (p *parser) header(fields []field) bool {
	for i, want := range header() {
		if i >= len(fields) {
			last := fields[len(fields)-1]
			p.say(last.place(), "readings.header-short", "expected", want)
			return false
		}
		if fields[i].text != want {
			p.say(fields[i].place(), "readings.header", "found", clip(fields[i].text), "expected", want)
			return false
		}
	}
	if len(fields) > columns {
		p.say(fields[columns].place(), "readings.header-long", "found", clip(fields[columns].text))
		return false
	}
	return true
}

// next reads a record and reports what is wrong with its form; bad is true if
// it was faulty, fields is nil then and for an empty line.
func (p *parser) next() (fields []field, bad bool) {
	from, line := p.t.off, p.t.line
	fields, slipped := p.t.record()
	if slipped != nil {
		at := place{slipped.line, slipped.start, slipped.at}
		switch slipped.key {
		case "readings.line-too-long":
			p.put(at, fault.New(fault.TooLarge, "readings.line-too-long", "most", size(mostLine)))
		case "readings.quote-open":
			p.say(at, "readings.quote-open", "most", size(mostLine))
		default:
			p.say(at, "readings.quote")
		}
		return nil, true
	}
	if !p.clean(from, p.t.off, line) {
		return nil, true
	}
	return fields, false
}

// clean reports the first byte of a stretch of text that is no text.
func (p *parser) clean(from, to, line int) bool {
	start := from
	for i := from; i < to; {
		c, n := utf8.DecodeRuneInString(p.t.s[i:to])
		at := place{line, start, i}
		switch {
		case c == '\n':
			line, start = line+1, i+1
		case c == '\r' && (i+1 == len(p.t.s) || p.t.s[i+1] == '\n'), c == '\t':
		case c == 0:
			p.say(at, "readings.nul")
			return false
		case c == utf8.RuneError && n == 1:
			p.say(at, "readings.encoding")
			return false
		case unicode.IsControl(c):
			p.say(at, "readings.control", "found", fmt.Sprintf("U+%04X", c))
			return false
		}
		i += n
	}
	return true
}

// clip keeps what a message quotes short and printable.
func clip(s string) string {
	r := []rune(strings.Map(func(c rune) rune {
		if unicode.IsControl(c) {
			return ' '
		}
		return c
	}, s))
	if len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return string(r)
}
