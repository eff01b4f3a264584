package readings

import (
	"strconv"
	"strings"

	"fettle/internal/base/fault"
)

// noDelimiter reports that the delimiter is not declared and what the first
// value would be with each.
func (p *parser) noDelimiter(at place) {
	t := p.t
	t.skip() // the header
	for t.more() {
		text, _ := t.peek()
		if strings.TrimSpace(text) == "" {
			t.skip()
			continue
		}
		text = text[:min(len(text), mostLine)]
		p.force(at, fault.New(fault.Invalid, "readings.no-delimiter-shown", "line", strconv.Itoa(t.line),
			"comma", third(text, ","), "semicolon", third(text, ";"), "tab", third(text, "\t")))
		return
	}
	p.force(at, fault.New(fault.Invalid, "readings.no-delimiter"))
}

// third is the field in which the value stands, a dash where there is none.
func third(text, delimiter string) string {
	fields := strings.SplitN(text, delimiter, colValue+2)
	if len(fields) <= colValue || fields[colValue] == "" {
		return "–"
	}
	return clip(fields[colValue])
}

// noDecimal reports that the decimal mark is not declared and both readings of
// the first number that has a mark.
func (p *parser) noDecimal(at place) {
	if p.number == nil {
		p.force(at, fault.New(fault.Invalid, "readings.no-decimal"))
		return
	}
	text := strings.TrimSpace(p.number.text)
	p.force(at, fault.New(fault.Invalid, "readings.no-decimal-shown", "text", clip(text), "line", strconv.Itoa(p.number.line),
		"point", clip(strings.ReplaceAll(text, ",", "")),
		"comma", clip(strings.ReplaceAll(strings.ReplaceAll(text, ".", ""), ",", "."))))
}
