package readings

import (
	"bytes"
	"encoding/csv"
	"strings"
	"time"

	"fettle/internal/base/unit"
)

// Write writes a sheet in its format, with the delimiter and decimal mark that
// it names. What was typed is written where it means the same under that mark,
// the canonical value elsewhere. Notes on gauges and the mark of a transcript
// have no place in the format.
func Write(s Sheet) []byte {
	if s.Delimiter == "" {
		s.Delimiter = Comma
	}
	if s.Decimal == "" {
		s.Decimal = Point
	}
	comma, ok := delimiterOf(s.Delimiter)
	mark, ok2 := markOf(s.Decimal)
	if !ok || !ok2 {
		panic("readings: no such delimiter or decimal mark: " + s.Delimiter + ", " + s.Decimal)
	}
	var b bytes.Buffer
	declare := func(name, value string) { b.WriteString(strings.TrimRight("# "+name+": "+value, " ") + "\n") }
	b.WriteString(firstLine + "\n")
	declare("delimiter", s.Delimiter)
	declare("decimal", s.Decimal)
	if s.Job != "" {
		declare("job", s.Job+" "+s.Title)
	}
	for _, n := range s.Notes {
		declare("note", n)
	}
	for _, p := range s.People {
		value := p.Role
		if p.Initials != "" && p.Initials != p.Person {
			value = strings.TrimPrefix(value+", initials "+p.Initials, ", ")
		}
		declare("person "+p.Person, value)
	}
	for _, g := range s.Gauges {
		value := g.Type
		if g.Master != "" {
			value += ", set on " + g.Master
		}
		if g.Serial != "" {
			value += ", serial " + g.Serial
		}
		declare("gauge "+g.Gauge, value)
	}
	w := csv.NewWriter(&b)
	w.Comma = rune(comma)
	put := func(fields []string) {
		if err := w.Write(fields); err != nil {
			panic("readings: a buffer takes every write: " + err.Error())
		}
	}
	put(header())
	for i := range s.Readings {
		put(s.Readings[i].fields(mark))
	}
	w.Flush()
	return b.Bytes()
}

func (r *Row) fields(mark byte) []string {
	value, unitName := r.typed(mark)
	at := ""
	if r.Time != 0 {
		at = time.UnixMicro(r.Time).UTC().Format(time.RFC3339Nano)
	}
	return []string{r.Position, r.State, value, unitName, r.Gauge, r.Master, marked(r.PartTemp, mark),
		marked(r.GaugeTemp, mark), strings.Join(r.Condition, " "), r.Person, at, r.Note}
}

// typed is the value and unit as typed if a file with this mark would read them
// as what was understood, else the canonical ones.
func (r *Row) typed(mark byte) (value, unitName string) {
	if r.Unit == "" {
		return r.Value, ""
	}
	value, unitName, ok := strings.Cut(r.Typed, " ")
	_, written, known := unit.Of(unitName)
	if ok && known && written == r.Unit && strings.Trim(value, "+-−.,0123456789") == "" {
		if q, err := unit.Parse(value, unitName, mark); err == nil && q.Text == r.Value {
			return value, unitName
		}
	}
	return marked(r.Value, mark), r.Unit
}

func marked(number string, mark byte) string {
	return strings.Replace(number, ".", string(mark), 1)
}
