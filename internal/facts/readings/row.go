package readings

import (
	"sort"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// spot is what two readings may not share: a repeat differs in time, person or
// gauge.
type spot struct {
	position, state, gauge, person string
	time                           int64
}

// rows reads everything below the header.
func (p *parser) rows() {
	found := 0
	for p.t.more() {
		fields, bad := p.next()
		if !bad && fields == nil {
			continue
		}
		if found++; found > MostRows {
			at := place{p.t.line, p.t.off, p.t.off}
			if fields != nil {
				at = fields[0].place()
			}
			p.force(at, fault.New(fault.TooLarge, "readings.too-many-rows", "most", strconv.Itoa(MostRows)))
			return
		}
		switch {
		case bad:
		case strings.HasPrefix(fields[0].text, "#"):
			p.say(fields[0].place(), "readings.late-declaration", "found", clip(fields[0].text))
		case len(fields) != columns:
			p.say(fields[min(len(fields), columns+1)-1].place(), "readings.field-count", "found", strconv.Itoa(len(fields)), "expected", strconv.Itoa(columns))
		default:
			p.row(fields)
		}
	}
	if found == 0 {
		p.say(p.end(), "readings.no-rows")
	}
}

// force reports a fault even where the list is full.
func (p *parser) force(at place, f *fault.Fault) {
	p.faults = append(p.faults, f.At(p.name, at.line, column(p.t.s, at.start, at.at)))
}

// row checks one record field by field and keeps it.
func (p *parser) row(f []field) {
	text := func(i int) string { return strings.TrimSpace(f[i].text) }
	r := Row{Line: f[0].line, Person: text(colPerson)}
	r.Note = f[colNote].text
	r.State, r.Gauge, r.Master = text(colState), text(colGauge), text(colMaster)
	c := p.position(f[colPosition], &r)
	if !knownState(r.State) {
		p.say(f[colState].place(), "readings.unknown-state", "found", clip(r.State),
			"expected", job.Found+", "+job.After("OPERATION")+", "+job.Built)
	}
	p.value(c, f[colValue], f[colUnit], &r)
	for _, g := range []int{colGauge, colMaster} {
		if id := text(g); id != "" && !p.gauges[id] {
			p.say(f[g].place(), "readings.unknown-gauge", "found", clip(id), "expected", list(p.gauges))
		}
	}
	r.PartTemp, r.GaugeTemp = p.temperature(f[colPartTemp]), p.temperature(f[colGaugeTemp])
	for _, id := range strings.Fields(f[colCondition].text) {
		if !p.Conditions[id] {
			p.say(f[colCondition].place(), "readings.unknown-condition", "found", clip(id), "expected", list(p.Conditions))
		}
		r.Condition = append(r.Condition, id)
	}
	switch {
	case r.Person == "":
	case !plainID(r.Person):
		p.say(f[colPerson].place(), "readings.bad-id", "found", clip(r.Person))
	case len(p.people) > 0 && !p.people[r.Person]:
		p.say(f[colPerson].place(), "readings.unknown-person", "found", r.Person, "expected", list(p.people))
	}
	timed := p.time(f[colTime], &r)
	if c != nil && timed {
		at := spot{r.Position, r.State, r.Gauge, r.Person, r.Time}
		if line, ok := p.seen[at]; ok {
			p.say(f[colPosition].place(), "readings.duplicate", "position", r.Position, "line", strconv.Itoa(line))
		} else {
			p.seen[at] = r.Line
		}
	}
	if len(p.faults) == 0 {
		p.out.Readings = append(p.out.Readings, r)
	}
}

// position finds the characteristic that is read, nil with a fault.
func (p *parser) position(f field, r *Row) *family.Characteristic {
	r.Position = strings.TrimSpace(f.text)
	i, ok := p.Layout.Find(r.Position)
	if !ok {
		if len(p.faults) >= mostFaults { // it will not be listed
			p.unlisted, p.lastLine = p.unlisted+1, f.line
		} else if near := nearest(p.Layout, r.Position); near != "" {
			p.say(f.place(), "readings.unknown-position", "found", clip(r.Position), "nearest", near)
		} else {
			p.say(f.place(), "readings.no-such-position", "found", clip(r.Position))
		}
		return nil
	}
	c := p.Layout.Places[i].Char
	if c.Relation != "" {
		p.say(f.place(), "readings.derived", "found", r.Position, "relation", c.Relation)
	}
	return c
}

func knownState(s string) bool {
	if inner, ok := strings.CutPrefix(s, "after("); ok {
		return plainID(strings.TrimSuffix(inner, ")")) && job.KnownState(s)
	}
	return job.KnownState(s)
}

// value understands a value and its unit, and keeps both as they were typed. c
// is nil where the position is unknown; the number is checked all the same.
func (p *parser) value(c *family.Characteristic, value, unitField field, r *Row) {
	v, u := strings.TrimSpace(value.text), strings.TrimSpace(unitField.text)
	r.Typed = strings.TrimSpace(v + " " + u)
	switch {
	case v == "":
		p.say(value.place(), "readings.no-value")
		return
	case c != nil && c.Quantity == family.Check:
		if v != "pass" && v != "fail" {
			p.say(value.place(), "readings.check-value", "found", clip(v))
		}
		if u != "" {
			p.say(unitField.place(), "readings.check-unit", "found", clip(u))
		}
		r.Value = v
		return
	case c == nil && u == "" && (v == "pass" || v == "fail"):
		return
	}
	dim, written, ok := unit.Of(u)
	switch {
	case u == "":
		p.say(unitField.place(), "unit.no-unit", "text", clip(v))
	case !ok:
		p.say(unitField.place(), "unit.unknown", "text", clip(r.Typed), "unit", clip(u))
	case c != nil && dim != c.Dim():
		p.say(unitField.place(), "readings.mixed-units", "found", written, "kind", c.Quantity, "expected", join(unit.Names(c.Dim())))
	}
	if !ok {
		written = "1" // the number is checked all the same
	}
	if q, ok := p.numeral(value, written); ok {
		r.Value, r.Unit = q.Text, q.Unit
	}
}

// numeral reads a number that carries no unit of its own.
func (p *parser) numeral(f field, unitName string) (unit.Quantity, bool) {
	text := strings.TrimSpace(f.text)
	if p.mark == 0 {
		if p.number == nil && strings.ContainsAny(text, ".,") {
			p.number = &f
		}
		return unit.Quantity{}, false
	}
	if strings.Trim(text, "+-−.,0123456789") != "" {
		if _, err := unit.Parse(text, "", p.mark); err == nil {
			p.say(f.place(), "readings.unit-in-value", "found", clip(text))
			return unit.Quantity{}, false
		}
	}
	q, err := unit.Parse(text, unitName, p.mark)
	for _, e := range fault.All(err) {
		if perhaps := unit.Perhaps(text, "", p.mark, unit.None); perhaps != "" {
			e = e.With("perhaps", perhaps)
		}
		p.put(f.place(), e)
	}
	return q, err == nil
}

// Bounds of a temperature in °C; outside them a workshop does not measure.
const (
	coldest = -20
	hottest = 60
)

// temperature reads a temperature in °C; nothing means unknown.
func (p *parser) temperature(f field) string {
	if strings.TrimSpace(f.text) == "" {
		return ""
	}
	q, ok := p.numeral(f, "°C")
	if ok && (q.SI() < coldest || q.SI() > hottest) {
		p.say(f.place(), "readings.bad-temperature", "found", q.Text, "least", strconv.Itoa(coldest), "most", strconv.Itoa(hottest))
	}
	return q.Text
}

// time reads a point in time as RFC 3339 writes it, zone included.
func (p *parser) time(f field, r *Row) bool {
	text := strings.TrimSpace(f.text)
	if text == "" {
		return true
	}
	var t time.Time
	err := t.UnmarshalText([]byte(text))
	if err != nil || t.Unix() < 0 || t.UnixMicro() == 0 || t.UTC().Year() >= 2200 || t.Nanosecond()%1000 != 0 {
		p.say(f.place(), "readings.bad-time", "found", clip(text))
		return false
	}
	r.Time = t.UnixMicro()
	return true
}

// list writes the names of a set in order, a dash for none.
func list(set map[string]bool) string {
	names := make([]string, 0, len(set))
	for n := range set {
		names = append(names, n)
	}
	sort.Strings(names)
	return join(names)
}

func join(names []string) string {
	if len(names) == 0 {
		return "–"
	}
	return strings.Join(names, ", ")
}
