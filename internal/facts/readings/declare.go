package readings

import (
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/shop"
)

// first checks the line that names the format; false means that the file is no
// text at all and nothing below it needs reading.
func (p *parser) first() bool {
	text, next := p.t.peek()
	if !p.clean(0, min(next, mostLine), 1) {
		return false
	}
	if strings.TrimRight(text, " \t") == firstLine {
		p.t.skip()
		return true
	}
	p.say(place{line: 1}, "readings.format", "found", clip(text))
	if strings.HasPrefix(text, "# fettle") {
		p.t.skip()
	}
	return true
}

// declaration is one line above the header.
type declaration struct {
	name  string // before the colon
	value string // behind it
	whole string
	key   place // of the line
	at    place // of the value
}

// declarations reads the lines above the header and then checks what they say
// of one another.
func (p *parser) declarations() {
	var masters []declaration
	for p.t.more() {
		text, next := p.t.peek()
		here := place{p.t.line, p.t.off, p.t.off}
		if strings.TrimSpace(text) == "" {
			p.t.skip()
			continue
		}
		if !strings.HasPrefix(text, "#") && !strings.HasPrefix(text, `"#`) {
			break
		}
		p.t.skip()
		if len(text) > mostLine {
			p.put(place{here.line, here.start, here.start + mostLine}, fault.New(fault.TooLarge, "readings.line-too-long", "most", size(mostLine)))
			continue
		}
		if !p.clean(here.start, next, here.line) {
			continue
		}
		if padded(text) {
			p.say(here, "readings.padded", "found", clip(text))
			continue
		}
		name, value, ok := strings.Cut(text[1:], ":")
		d := declaration{name: strings.TrimSpace(name), value: strings.TrimSpace(value), whole: text, key: here}
		if !ok {
			d.value = ""
		}
		d.at = place{here.line, here.start, here.start + len(text) - len(strings.TrimLeft(value, " \t"))}
		if master, ok := p.declare(d); ok {
			masters = append(masters, master)
		}
	}
	for _, d := range masters {
		if !p.gauges[d.value] {
			p.say(d.at, "readings.unknown-gauge", "found", d.value, "expected", list(p.gauges))
		}
	}
}

// padded reports the marks of a program that took a declaration for a row of
// the table: quotes around it, or empty fields behind it.
func padded(text string) bool {
	return text[0] == '"' || strings.HasSuffix(text, ",,,,") || strings.HasSuffix(text, ";;;;") || strings.HasSuffix(text, "\t\t\t\t")
}

// declare takes one declaration in; a master that a gauge is set on is handed
// back, since it may be declared further down.
func (p *parser) declare(d declaration) (master declaration, ok bool) {
	kind, id, _ := strings.Cut(d.name, " ")
	id = strings.TrimSpace(id)
	switch {
	case d.name == "delimiter":
		if b, ok := delimiterOf(d.value); !ok {
			p.say(d.at, "readings.bad-declaration", "found", clip(d.whole), "expected", "# delimiter: comma | semicolon | tab")
		} else if p.once(d) {
			p.t.comma, p.out.Delimiter = b, d.value
		}
	case d.name == "decimal":
		if b, ok := markOf(d.value); !ok {
			p.say(d.at, "readings.bad-declaration", "found", clip(d.whole), "expected", "# decimal: point | comma")
		} else if p.once(d) {
			p.mark, p.out.Decimal = b, d.value
		}
	case d.name == "job":
		id, title, _ := strings.Cut(d.value, " ")
		if !plainID(id) {
			p.say(d.at, "readings.bad-id", "found", clip(id))
		} else if p.once(d) {
			p.out.Job, p.out.Title = id, strings.TrimSpace(title)
		}
	case d.name == "note":
		p.out.Notes = append(p.out.Notes, d.value)
	case kind == "person":
		if !plainID(id) {
			p.say(d.key, "readings.bad-id", "found", clip(id))
		} else if p.once(d) {
			p.people[id] = true
			p.out.People = append(p.out.People, person(id, d.value))
		}
	case kind == "gauge":
		return p.gauge(d, id)
	default:
		p.say(d.key, "readings.unknown-declaration", "found", clip(d.whole),
			"expected", "delimiter, decimal, job, note, person ID, gauge ID")
	}
	return declaration{}, false
}

// person reads ROLE[, initials TEXT]; without initials the id stands for them.
func person(id, value string) shop.PersonV1 {
	const cut = ", initials "
	role, initials, ok := strings.Cut(value, cut)
	if rest, found := strings.CutPrefix(value, cut[2:]); found { // no role
		role, initials, ok = "", rest, true
	}
	if initials = strings.TrimSpace(initials); !ok || initials == "" {
		initials = id
	}
	return shop.PersonV1{Person: id, Initials: initials, Role: strings.TrimSpace(role)}
}

// once reports a declaration that was already made.
func (p *parser) once(d declaration) bool {
	if line, ok := p.declared[d.name]; ok {
		p.say(d.key, "readings.duplicate-declaration", "found", clip(d.name), "line", strconv.Itoa(line))
		return false
	}
	p.declared[d.name] = d.key.line
	return true
}

// gauge reads TYPE[, set on MASTER][, serial TEXT].
func (p *parser) gauge(d declaration, id string) (master declaration, ok bool) {
	if !plainID(id) {
		p.say(d.key, "readings.bad-id", "found", clip(id))
		return declaration{}, false
	}
	rest, serial, hasSerial := strings.Cut(d.value, ", serial ")
	kind, set, hasMaster := strings.Cut(rest, ", set on ")
	set, serial = strings.TrimSpace(set), strings.TrimSpace(serial)
	if !plainID(kind) || hasMaster && !plainID(set) || hasSerial && serial == "" {
		p.say(d.at, "readings.bad-declaration", "found", clip(d.whole), "expected", "# gauge ID: TYPE, set on ID, serial TEXT")
		return declaration{}, false
	}
	if !p.once(d) {
		return declaration{}, false
	}
	p.gauges[id] = true
	if p.Instruments != nil && !p.Instruments[kind] {
		p.say(d.at, "readings.unknown-instrument", "found", kind)
	}
	p.out.Gauges = append(p.out.Gauges, shop.GaugeV1{Gauge: id, Type: kind, Master: set, Serial: serial})
	if !hasMaster {
		return declaration{}, false
	}
	at := d.at
	at.at += len(kind) + len(", set on ")
	return declaration{value: set, at: at}, true
}
