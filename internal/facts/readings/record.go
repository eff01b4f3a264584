package readings

import (
	"strings"
	"unicode/utf8"
)

// field is one field of a record, unquoted, and where it begins.
type field struct {
	text  string
	line  int
	start int // byte offset of its line
	at    int // byte offset of the field
}

// splitter cuts a text into the records of RFC 4180: fields between delimiters,
// a field with a delimiter, a quote or a line end in it wholly in double quotes.
// It goes on behind a faulty line, so that every one of them is reported, and
// never looks further than mostLine bytes for the end of a record.
type splitter struct {
	s     string
	comma byte
	off   int // byte offset of the next record
	line  int // its line, from 1
}

// slip is what is wrong with the form of a record.
type slip struct {
	key             string
	line, start, at int
}

// peek returns the next physical line without its end, and where the one
// behind it begins.
func (t *splitter) peek() (text string, next int) {
	end := strings.IndexByte(t.s[t.off:], '\n')
	if end < 0 {
		return strings.TrimSuffix(t.s[t.off:], "\r"), len(t.s)
	}
	return strings.TrimSuffix(t.s[t.off:t.off+end], "\r"), t.off + end + 1
}

// skip leaves the next physical line out.
func (t *splitter) skip() {
	_, next := t.peek()
	t.off, t.line = next, t.line+1
}

func (t *splitter) more() bool { return t.off < len(t.s) }

// record reads the next record, nil for an empty line. After a slip the next
// record begins on the line behind the one that the faulty record began on.
func (t *splitter) record() (fields []field, bad *slip) {
	text, next := t.peek()
	from, line, start := t.off, t.line, t.off
	t.off, t.line = next, t.line+1
	resume := *t
	defer func() {
		if bad != nil {
			*t = resume
		}
	}()
	switch {
	case len(text) > mostLine:
		return nil, &slip{"readings.line-too-long", line, start, start + mostLine}
	case text == "":
		return nil, nil
	}
	p, end := from, from+len(text)
	for {
		f := field{line: line, start: start, at: p}
		if p < end && t.s[p] == '"' {
			body, behind, lines, last := quoted(t.s, p, from+mostLine)
			if behind < 0 {
				return nil, &slip{"readings.quote-open", f.line, f.start, f.at}
			}
			f.text = body
			if lines > 0 { // the record goes on below
				line, start = line+lines, last
				t.off, t.line = last, line
				text, next = t.peek()
				t.off, t.line = next, line+1
				end = last + len(text)
			}
			p = behind
			if p < end && t.s[p] != t.comma {
				if lines > 0 { // the quote that was meant to close stands further up
					return nil, &slip{"readings.quote-open", f.line, f.start, f.at}
				}
				return nil, &slip{"readings.quote", line, start, p}
			}
		} else {
			stop := p
			for stop < end && t.s[stop] != t.comma {
				if t.s[stop] == '"' {
					return nil, &slip{"readings.quote", line, start, stop}
				}
				stop++
			}
			f.text, p = t.s[p:stop], stop
		}
		fields = append(fields, f)
		if p >= end {
			if end-from > mostLine {
				return nil, &slip{"readings.line-too-long", line, start, end}
			}
			return fields, nil
		}
		p++ // behind the delimiter
	}
}

// quoted reads a quoted field that opens at p. behind is the offset behind its
// closing quote, -1 if none stands before the bound; lines is how many line
// ends it holds and last where the last of its lines begins.
func quoted(s string, p, bound int) (body string, behind, lines, last int) {
	bound = min(bound, len(s))
	var b strings.Builder
	for i := p + 1; i < bound; i++ {
		switch c := s[i]; {
		case c == '"' && i+1 < len(s) && s[i+1] == '"':
			b.WriteByte('"')
			i++
		case c == '"':
			return b.String(), i + 1, lines, last
		case c == '\r' && i+1 < len(s) && s[i+1] == '\n':
			// A line end inside a field is kept as a line feed.
		default:
			if c == '\n' {
				lines, last = lines+1, i+1
			}
			b.WriteByte(c)
		}
	}
	return "", -1, 0, 0
}

// column counts characters, from 1.
func column(s string, start, at int) int {
	return utf8.RuneCountInString(s[start:at]) + 1
}
