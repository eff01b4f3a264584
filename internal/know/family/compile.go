package family

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/file"
)

// Known says which names a family may lean on. A nil set is not checked.
type Known struct {
	Relations   Relations
	Materials   map[string]bool
	Instruments map[string]bool
	Findings    map[string]bool
	Conditions  map[string]bool
	Sources     map[string]bool
	PlanRows    map[string]bool
}

// mostPlaces bounds the positions of one family.
const mostPlaces = 20000

// Schema is the JSON Schema of a family file.
func Schema() []byte {
	return file.Schema(&Family{}, "family-1.json", "fettle engine family, version 1")
}

// Validator is the compiled schema; make it once.
func Validator() *jsonschema.Schema { return file.Compile(Schema()) }

// Draft is a family file that has been read and held against the schema, but
// not yet against the rest of the knowledge.
type Draft struct {
	Text   []byte
	f      Family
	doc    *file.Doc
	faults fault.List
}

// Open reads a family file. Its faults come with Layout.
func Open(name string, text []byte, v *jsonschema.Schema) *Draft {
	d := &Draft{Text: text}
	d.f, d.doc, d.faults = file.Read[Family](name, text, v)
	return d
}

// Layout checks a draft and lays it out. Every problem is reported, each with
// line and column; the layout is nil if there is any.
func (d *Draft) Layout(known Known) (*Layout, fault.List) {
	if d.doc == nil || len(d.faults) > 0 && len(d.f.Characteristics) == 0 {
		return nil, d.faults
	}
	c := &compiler{doc: d.doc, f: &d.f, known: known, faults: d.faults, wrong: map[*Characteristic]bool{}}
	l := c.run()
	if len(c.faults) > 0 {
		c.faults.Sort()
		return nil, c.faults
	}
	return l, nil
}

// Parse opens a family file and lays it out.
func Parse(name string, text []byte, v *jsonschema.Schema, known Known) (*Layout, fault.List) {
	return Open(name, text, v).Layout(known)
}

type compiler struct {
	doc    *file.Doc
	f      *Family
	known  Known
	faults fault.List
	wrong  map[*Characteristic]bool // have a fault of their own
	l      *Layout
}

func (c *compiler) say(path, key string, pairs ...string) {
	c.faults = append(c.faults, c.doc.Fault(path, key, pairs...))
}

func (c *compiler) run() *Layout {
	if !c.engine() {
		return nil
	}
	c.l = &Layout{Family: c.f, Dims: c.f.Dims(), byID: map[string]int{}, byChar: map[string][]int{}, parts: map[string]*Component{}}
	c.sources()
	c.dimensions()
	c.components()
	framed := c.misread() == len(c.faults) // engine, patterns and components stand
	chars := c.characteristics()
	c.circles(chars)
	if !framed {
		return nil
	}
	places := c.expandAll(chars)
	for i, ch := range chars {
		for _, p := range places[i] {
			c.l.byID[p.ID] = len(c.l.Places)
			c.l.byChar[ch.ID] = append(c.l.byChar[ch.ID], len(c.l.Places))
			c.l.Places = append(c.l.Places, p)
		}
		if len(c.l.Places) > mostPlaces {
			c.say("characteristics", "family.too-many-places", "most", strconv.Itoa(mostPlaces))
			return nil
		}
	}
	for i := range c.l.Places {
		c.l.Named = append(c.l.Named, i)
	}
	sort.Slice(c.l.Named, func(i, j int) bool { return c.l.Places[c.l.Named[i]].ID < c.l.Places[c.l.Named[j]].ID })
	for i, ch := range chars {
		if ch.Relation != "" && !c.wrong[ch] {
			c.bind(i, ch)
		}
	}
	if len(c.faults) == 0 {
		c.order(chars)
	}
	return c.l
}

// misread marks the characteristics that could not be read whole, and counts
// the faults that are only theirs.
func (c *compiler) misread() int {
	n := 0
	for _, f := range c.faults {
		rest, ok := strings.CutPrefix(f.Path, "characteristics")
		if !ok {
			continue
		}
		digits := strings.TrimLeft(rest, ".[")
		digits = digits[:len(digits)-len(strings.TrimLeft(digits, "0123456789"))]
		if i, err := strconv.Atoi(digits); err == nil && i < len(c.f.Characteristics) {
			c.wrong[&c.f.Characteristics[i]] = true
			n++
		}
	}
	return n
}

// expandAll lists the places of every characteristic. What leans on one without
// places in this engine, such as a bridge in a single, has none either.
func (c *compiler) expandAll(chars []*Characteristic) [][]Place {
	places, index, n := make([][]Place, len(chars)), map[string]int{}, 0
	for i, ch := range chars {
		if c.wrong[ch] {
			continue // what leans on it is left alone too
		}
		places[i], index[ch.ID] = c.l.expand(ch), i
		if n += len(places[i]); n > mostPlaces {
			return places
		}
	}
	for again := true; again; {
		again = false
		for i, ch := range chars {
			for _, b := range ch.Bind {
				if k, ok := index[b.From]; ok && len(places[k]) == 0 && len(places[i]) > 0 {
					places[i], again = nil, true
				}
			}
		}
	}
	return places
}

// engine checks what the schema cannot say about the geometry; false means that
// its places cannot be counted, so that nothing said about them could be true.
func (c *compiler) engine() bool {
	e := &c.f.Engine
	before := len(c.faults)
	if e.Cylinders < 1 || e.Cylinders > 16 {
		if before == 0 {
			c.say("engine.cylinders", "family.cylinders", "found", strconv.Itoa(e.Cylinders))
		}
		return false
	}
	seen := map[int]bool{}
	for i, bank := range e.BankList() {
		for _, n := range bank {
			if n < 1 || n > e.Cylinders || seen[n] {
				c.say(fmt.Sprintf("engine.banks[%d]", i), "family.banks", "found", strconv.Itoa(n), "most", strconv.Itoa(e.Cylinders))
			}
			seen[n] = true
		}
	}
	if len(e.Banks) > 2 || len(seen) != e.Cylinders {
		c.say("engine.banks", "family.banks-cover", "found", strconv.Itoa(len(seen)), "cylinders", strconv.Itoa(e.Cylinders))
	}
	if len(e.Banks) > 2 {
		return false // the axes have letters for two
	}
	counted := len(c.faults) == before // cylinders and banks are enough to go on with
	fired := map[int]bool{}
	for _, n := range e.FiringOrder {
		if n >= 1 && n <= e.Cylinders {
			fired[n] = true
		}
	}
	if len(e.FiringOrder) > 0 && (len(fired) != e.Cylinders || len(e.FiringOrder) != e.Cylinders) {
		c.say("engine.firing_order", "family.firing-order", "cylinders", strconv.Itoa(e.Cylinders))
	}
	for _, q := range []struct {
		path string
		q    unit.Quantity
	}{{"bore", e.Bore}, {"stroke", e.Stroke}, {"rod", e.Rod}, {"bore_spacing", e.BoreSpacing}, {"bore_depth", e.BoreDepth}, {"face_width", e.FaceWidth}, {"deck_height", e.DeckHeight}, {"main_journal", e.MainJournal}, {"pin_journal", e.PinJournal}} {
		if q.q.Dim == unit.Length && q.q.N <= 0 {
			c.say("engine."+q.path, "family.not-positive", "found", q.q.String())
		}
	}
	for _, s := range []struct {
		path  string
		steps []unit.Quantity
	}{{"oversizes", e.Oversizes}, {"undersizes.main", e.Undersizes.Main}, {"undersizes.pin", e.Undersizes.Pin}} {
		for i, q := range s.steps {
			if q.Dim == unit.Length && q.N <= 0 {
				c.say(fmt.Sprintf("engine.%s[%d]", s.path, i), "family.not-positive", "found", q.String())
			}
		}
	}
	if lengths(e.Stroke, e.Rod) && e.Stroke.N/2 >= e.Rod.N {
		c.say("engine.rod", "family.short-rod", "found", e.Rod.String(), "stroke", e.Stroke.String())
	}
	if lengths(e.BoreSpacing, e.Bore) && e.BoreSpacing.N <= e.Bore.N {
		c.say("engine.bore_spacing", "family.no-bridge", "found", e.BoreSpacing.String(), "bore", e.Bore.String())
	}
	cams, phased := e.CamNames(), map[string]bool{}
	for i, p := range e.Phasers {
		if phased[p.Cam] {
			c.say(fmt.Sprintf("engine.phasers[%d].cam", i), "family.duplicate", "found", p.Cam)
		}
		phased[p.Cam] = true
		if !contains(cams, p.Cam) {
			c.say(fmt.Sprintf("engine.phasers[%d].cam", i), "family.unknown-name", "found", p.Cam, "expected", strings.Join(cams, ", "))
		}
	}
	c.knows("engine.block.material", e.Block.Material, c.known.Materials, "family.unknown-material")
	c.knows("engine.head.material", e.Head.Material, c.known.Materials, "family.unknown-material")
	if e.Block.LinerOf != "" {
		c.knows("engine.block.liner_material", e.Block.LinerOf, c.known.Materials, "family.unknown-material")
	}
	return counted
}

// lengths reports whether both were given and are lengths; what is wrong with
// one that is not was said where it stands.
func lengths(a, b unit.Quantity) bool { return a.Dim == unit.Length && b.Dim == unit.Length }

func (c *compiler) knows(path, name string, set map[string]bool, key string) {
	if set != nil && !set[name] {
		c.say(path, key, "found", name)
	}
}

// sources checks the family's own sources: none may stand for one that
// sources.yaml has.
func (c *compiler) sources() {
	seen := map[string]bool{}
	for i := range c.f.Sources {
		id := string(c.f.Sources[i].ID)
		if seen[id] || c.known.Sources[id] {
			c.say(fmt.Sprintf("sources[%d].id", i), "family.duplicate", "found", id)
		}
		seen[id] = true
	}
}

func (c *compiler) dimensions() {
	for name, d := range c.f.Dimensions {
		path := "dimensions." + name
		seen := map[string]bool{}
		for i, v := range d.Values {
			if seen[v] {
				c.say(fmt.Sprintf("%s.values[%d]", path, i), "family.duplicate", "found", v)
			}
			if v == "" || strings.ContainsAny(v, "/ ,;?#%") {
				c.say(fmt.Sprintf("%s.values[%d]", path, i), "family.bad-index", "found", v)
			}
			seen[v] = true
		}
		if len(d.Values) == 0 && d.Count == 0 {
			c.say(path, "family.empty-dimension", "found", name)
		}
		for g, values := range d.Groups {
			for _, v := range values {
				if !seen[v] && len(d.Values) > 0 {
					c.say(path+".groups."+g, "family.unknown-name", "found", v, "expected", strings.Join(d.Values, ", "))
				}
			}
		}
	}
}

func (c *compiler) components() {
	for i := range c.f.Components {
		comp := &c.f.Components[i]
		path := fmt.Sprintf("components[%d]", i)
		if c.l.parts[comp.ID] != nil {
			c.say(path+".id", "family.duplicate", "found", comp.ID)
		}
		c.l.parts[comp.ID] = comp
		c.knows(path+".material", comp.Material, c.known.Materials, "family.unknown-material")
		c.dims(path+".per", comp.Per)
	}
}

func (c *compiler) dims(path string, per []string) bool {
	ok := true
	for k, name := range per {
		if c.l.Dims[name] == nil {
			c.say(fmt.Sprintf("%s[%d]", path, k), "family.unknown-dimension", "found", name, "expected", strings.Join(dimNames(c.l.Dims), ", "))
			ok = false
		}
	}
	return ok
}

func dimNames(m map[string]*Dim) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
