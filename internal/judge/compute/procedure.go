package compute

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

// procedure is a computation that is no relation: it takes lists and tables,
// words and options, and gives several figures.
type procedure struct {
	name    string
	source  cite.Key
	doubted bool // takes one value with its doubt among its members
	fields  []field
	run     func(c *call) error
	example string
}

// procedures lists every one, by subject.
func procedures() []procedure {
	var out []procedure
	for _, part := range [][]procedure{doubts(), rounds(), flats(), rules(), studies(), samples(), textures(), fits(), selections(), oils(), films(), engines()} {
		out = append(out, part...)
	}
	return out
}

// extent of a field.
type extent uint8

const (
	oneValue extent = iota // with its unit
	oneWhole               // number
	oneWord                // of a few
	oneText
	aList
	aTable // rows of values
	aCube  // a list of tables
)

// field is one member of the input of a procedure.
type field struct {
	name   string
	extent extent
	dim    unit.Dim // of values; None for any, the same in all such fields
	what   string
	need   bool
	least  int      // elements or rows; the least whole number
	most   int      // likewise; 0 for the usual bound
	words  []string // of a word, the first is the default
	row    []column // of a table; none for rows of any length
	mixed  bool     // each column of such a table has a kind of its own
	as     string   // the list that has as many values
}

// column of a table.
type column struct {
	name string
	dim  unit.Dim
	text bool
}

// mostValues bounds a list, rows of a table and values in a row.
const mostValues = 20_000

// call is one run of a procedure.
type call struct {
	*reader
	t     *tree
	p     *procedure
	nums  map[string]float64
	lists map[string][]float64
	rows  map[string][][]float64
	cubes map[string][][][]float64
	texts map[string]string
	cells map[string][][]string
	// units of the columns of a table that may hold any kind
	columns map[string][]scale
	out     Outcome
	asked   scale
	given   given
}

// Outcome is what a procedure gives: figures by name, in order, each a text with
// its unit or a list of such.
type Outcome struct {
	Name    string
	Source  cite.Key
	Figures []Figure
	Notes   []string // message keys
}

// Figure is one figure of an outcome; List where it is a list.
type Figure struct {
	Name string
	Text string
	List []string
}

// Line is the figure as one line of text.
func (f Figure) Line() string {
	if f.List != nil {
		return f.Name + " = [" + strings.Join(f.List, ", ") + "]"
	}
	return f.Name + " = " + f.Text
}

// MarshalJSON writes the figures as members of result, in their order.
func (o Outcome) MarshalJSON() ([]byte, error) {
	text := func(v any) []byte { b, _ := json.Marshal(v); return b }
	b := []byte(`{"name":` + string(text(o.Name)) + `,"source":` + string(text(o.Source)) + `,"result":{`)
	for i, f := range o.Figures {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(b, text(f.Name)...), ':')
		if f.List != nil {
			b = append(b, text(f.List)...)
		} else {
			b = append(b, text(f.Text)...)
		}
	}
	b = append(b, '}')
	if len(o.Notes) > 0 {
		b = append(append(b, `,"notes":`...), text(o.Notes)...)
	}
	return append(b, '}'), nil
}

func (p *procedure) compute(input []byte) (Outcome, error) {
	t, err := parse(input)
	if err != nil {
		return Outcome{}, err
	}
	c := &call{reader: newReader(), t: t, p: p, nums: map[string]float64{}, lists: map[string][]float64{}, rows: map[string][][]float64{},
		cubes: map[string][][][]float64{}, texts: map[string]string{}, cells: map[string][][]string{}, columns: map[string][]scale{}, out: Outcome{Name: p.name, Source: p.source}}
	known := []string{"unit"}
	for _, f := range p.fields {
		known = append(known, f.name)
	}
	if p.doubted {
		known = slices.DeleteFunc(append(known, givenMembers()...), func(s string) bool { return s == "of" || s == "cause" || s == "doubts" })
	}
	c.only(t, "", known)
	if p.doubted && len(c.faults) == 0 {
		c.given = c.reader.given(t, "value", "", unit.None, "1", known...)
	}
	for _, f := range p.fields {
		c.read(f)
		if c.has(f.name) && f.as != "" && len(c.lists[f.name]) != len(c.lists[f.as]) && len(c.faults) == 0 {
			c.on(t.where(f.name), f.name).say("compute.paired", "symbol", f.name, "found", strconv.Itoa(len(c.lists[f.name])),
				"other", f.as, "expected", strconv.Itoa(len(c.lists[f.as])))
		}
	}
	if u := t.get("unit"); u != nil {
		s, ok := scaleOf(u.text)
		if c.asked = s; !ok {
			c.on(u.at, "unit").say("unit.unknown", "text", u.text, "unit", u.text)
		}
	}
	if len(c.faults) > 0 {
		return Outcome{}, c.mistakes()
	}
	if err := p.run(c); err != nil {
		return Outcome{}, fault.New(fault.Invalid, "compute.no-value", "error", err.Error())
	}
	if len(c.faults) > 0 {
		return Outcome{}, c.mistakes()
	}
	return c.out, nil
}

// has reports whether a member was given.
func (c *call) has(name string) bool { return c.t.get(name) != nil }

// kind is that of values of any kind, the kind found for them.
func (c *call) kind(d unit.Dim) unit.Dim {
	if d == unit.None {
		return c.shared
	}
	return d
}

// scale is the unit in which figures of a kind are written.
func (c *call) scale(d unit.Dim) scale {
	d = c.kind(d)
	if d == unit.None {
		d = unit.Number
	}
	if c.asked.kind == d && c.asked.name != "" {
		return c.asked
	}
	s, _ := scaleOf(usual(d, c.first[d]))
	return s
}

// put adds a figure: a text, a pure number, or a list of texts.
func (c *call) put(name, text string) {
	c.out.Figures = append(c.out.Figures, Figure{Name: name, Text: text})
}

func (c *call) puts(name string, list []string) {
	if list == nil {
		list = []string{}
	}
	c.out.Figures = append(c.out.Figures, Figure{Name: name, List: list})
}

func (c *call) number(name string, x float64) {
	if math.IsNaN(x) {
		c.on(c.t.at, "").say("compute.no-value", "error", name)
		return
	}
	c.put(name, digitsOf(x))
}

func (c *call) whole(name string, n int) { c.put(name, strconv.Itoa(n)) }

// measure adds a figure of a kind, formula units.
func (c *call) measure(name string, d unit.Dim, si float64) { c.scaled(name, c.scale(d), si) }

func (c *call) scaled(name string, s scale, si float64) {
	if math.IsNaN(si) || math.IsInf(si, 0) {
		c.on(c.t.at, "").say("compute.no-value", "error", name)
		return
	}
	if s.kind == unit.Number {
		c.put(name, digitsOf(si/s.factor))
		return
	}
	c.put(name, s.write(si))
}

// measures adds a list of a kind.
func (c *call) measures(name string, d unit.Dim, si []float64) {
	s := c.scale(d)
	out := make([]string, len(si))
	for i, v := range si {
		if out[i] = s.write(v); s.kind == unit.Number {
			out[i] = digitsOf(v / s.factor)
		}
	}
	c.puts(name, out)
}

// places adds places of a list, counted from one.
func (c *call) places(name string, at []int) {
	out := make([]string, len(at))
	for i, v := range at {
		out[i] = strconv.Itoa(v + 1)
	}
	c.puts(name, out)
}

func (c *call) note(key string) { c.out.Notes = append(c.out.Notes, key) }
