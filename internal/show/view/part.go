package view

import (
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/plot"
)

// Part is the page of one component.
type Part struct {
	Frame
	Drawing   Drawing
	Material  string
	Keeps     string
	States    []Link // one a state in which it has values
	Counts    []Count
	Stands    []Line // what stands out, worst first
	StandMore string
	Faces     []Face
	Tables    []Table
	Seen      []Seen // observations
	SeenCount string
	Causes    string // address of the guide to causes, where something was seen
	See       SeenForm
	Photos    []Thumb
	Picture   PhotoForm
	Empty     bool
	Uncleared string // it is not cleared for measuring
	Paper     []Link // its sheet to be filled in by hand, where it is typed in, where it is cleaned and tested
}

// Count is a plate with a number.
type Count struct {
	Plate
	N string
}

// Table is limit bars in the pattern of the positions. The first dimension
// stands in columns; characteristics, with their other dimensions, in rows.
type Table struct {
	Caption string
	Columns []string
	Groups  []RowGroup
	Span    int  // columns with the one of row heads
	Down    bool // positions in rows, characteristics in columns
}

// RowGroup is one characteristic.
type RowGroup struct {
	Name, Unit string
	Limits     []string // one line each: range, for what, source and status
	Weak       bool
	Derived    string // name of the relation, "" for a reading
	Single     bool   // its one row carries the name, unit and limits itself
	Rows       []Row
}

// Row is one place of the other dimensions across the columns.
type Row struct {
	Head  string
	Cells []Cell
}

// Cell is one value.
type Cell struct {
	Link  Link // Text: position and verdict in words
	Value Number
	Bar   Drawing
	Plate Plate // for a check
	Check bool
	Void  bool // this place does not exist
	State string
	Armed bool
}

// across is how many columns of bars fit a sheet.
const across = 6

// PartPage makes the page of one component; ok is false if the engine has none
// of that name. state "" takes each position's last one.
func (c *Case) PartPage(r Reader, component, state string, see SeenForm) (v Part, ok bool) {
	comp := c.Layout.Component(component)
	if comp == nil {
		return v, false
	}
	v.Frame = c.frame(r, comp.Name.In(r.Lang), "", component, orLast(state, c.lastState(component)))
	v.Under = c.Assessment.Title
	tables := beside(func() []Table { return c.tables(r, component, state, "") })
	v.Drawing = c.part(r, component, state, "")
	if m, ok := c.Library.Materials[comp.Material]; ok {
		v.Material = m.Name.In(r.Lang)
	}
	if comp.Keeps != "" {
		v.Keeps = r.T("page.keeps." + comp.Keeps)
	}
	if s := c.states(component); len(s) > 1 {
		for _, name := range s {
			v.States = append(v.States, Link{Href: JobHref(c.id(), "part", component) + "?state=" + query(name), Text: r.State(name),
				Current: name == state})
		}
	}
	n, _ := c.count(component)
	list := n.list()
	for i, vd := range verdicts() {
		v.Counts = append(v.Counts, Count{r.plate(vd), r.Int(list[i])})
	}
	v.Stands, v.StandMore = c.stands(r, component)
	v.Faces = c.faces(r, component, state)
	v.Tables = tables()
	v.Seen = c.seen(r, component)
	v.Photos = c.thumbs(r, func(p *job.PhotoV1) bool { return ofComponent(p, component) })
	v.Picture = c.PhotoFormFor(r, see.Key, Pictured{Where: component, Person: chosen(see.People)}, nil)
	if len(v.Seen) > 0 {
		v.Causes = JobHref(c.id(), "causes")
		v.SeenCount = r.N("page.seen.count", len(v.Seen))
	}
	v.See = see
	v.Empty = len(v.Tables) == 0
	v.Uncleared = c.Uncleared(r, component)
	v.Paper = []Link{{Href: PaperPDF(c.id(), component, "A4", state), Text: r.T("page.paper.sheet")}, {Href: JobHref(c.id(), "transcribe", component), Text: r.T("page.paper.type")},
		{Href: JobHref(c.id(), "clean", component), Text: r.T("page.clean.title")}}
	if len(c.partsOf(component)) == 0 {
		v.Paper = nil
	}
	return v, true
}

// beside lets another hand do a share of a page and returns how to wait for it;
// what went wrong there goes wrong here.
func beside[T any](work func() T) (wait func() T) {
	var v T
	var broken any
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer func() { broken = recover() }()
		v = work()
	}()
	return func() T {
		<-done
		if broken != nil {
			panic(broken)
		}
		return v
	}
}

func orLast(state, last string) string {
	if state == "" {
		return last
	}
	return state
}

// shownStanding is how many values a part's page names beside its drawing.
const shownStanding = 7

// stands lists the values of a part that are out or undecided.
func (c *Case) stands(r Reader, component string) (out []Line, more string) {
	n := 0
	for _, want := range []assess.Verdict{assess.Reject, assess.Undecided} {
		for _, s := range c.spots(component) {
			v := s.latest()
			if v.Verdict != want {
				continue
			}
			if n++; n > shownStanding {
				continue
			}
			out = append(out, Line{Link: Link{Href: AtHref(c.id(), v.Position, v.State), Text: c.Place(r, v.Position)}, Plate: c.plate(r, v),
				Small: r.With(c.check(r, v.Y), v.Unit)})
		}
	}
	if n > shownStanding {
		more = r.N("page.part.more", n-shownStanding)
	}
	return out, more
}

// tables makes the limit-bar tables of a component: characteristics that share
// their first dimension stand in one table, so that what belongs to one
// cylinder stands in one column.
func (c *Case) tables(r Reader, component, state, armed string) []Table {
	var order []string
	groups := map[string][]*family.Characteristic{}
	seen := map[*family.Characteristic]bool{}
	byChar := map[*family.Characteristic][]spot{}
	for _, s := range c.spots(component) {
		ch := s.place.Char
		byChar[ch] = append(byChar[ch], s)
		if seen[ch] {
			continue
		}
		seen[ch] = true
		dim := ""
		if len(ch.Per) > 0 {
			dim = ch.Per[0]
		}
		if groups[dim] == nil {
			order = append(order, dim)
		}
		groups[dim] = append(groups[dim], ch)
	}
	var out []Table
	for _, dim := range order {
		out = append(out, c.table(r, dim, groups[dim], byChar, state, armed)...)
	}
	for i := range out {
		out[i].Span = len(out[i].Columns) + 1
	}
	return out
}

// table makes the tables of one first dimension, cut where a sheet ends.
func (c *Case) table(r Reader, dim string, chars []*family.Characteristic, byChar map[*family.Characteristic][]spot, state, armed string) []Table {
	g := grid{c: c, r: r, state: state, armed: armed, byChar: byChar}
	if dim == "" {
		t := Table{Caption: r.T("page.table.single"), Columns: []string{r.T("page.table.value")}}
		for _, ch := range chars {
			rg := g.group(ch)
			for _, s := range byChar[ch] {
				rg.Rows = append(rg.Rows, Row{Head: ch.Name.In(r.Lang), Cells: []Cell{g.cell(s)}})
			}
			rg.Single = true
			t.Groups = append(t.Groups, rg)
		}
		return []Table{t}
	}
	var values []string
	for _, v := range c.Layout.Dims[dim].Values {
		for _, ch := range chars {
			if g.firstIs(ch, v) {
				values = append(values, v)
				break
			}
		}
	}
	if flat(chars) && len(values) > across {
		return g.down(dim, chars, values)
	}
	var out []Table
	sheets := (len(values) + across - 1) / across
	for i := range sheets {
		part := values[i*len(values)/sheets : (i+1)*len(values)/sheets]
		out = append(out, g.wide(dim, chars, part))
	}
	return out
}

// flat says that characteristics have no other dimension than their first.
func flat(chars []*family.Characteristic) bool {
	for _, ch := range chars {
		if len(ch.Per) != 1 {
			return false
		}
	}
	return true
}

// grid makes the cells of tables of one component.
type grid struct {
	c      *Case
	r      Reader
	state  string
	armed  string
	byChar map[*family.Characteristic][]spot
}

func (g grid) firstIs(ch *family.Characteristic, v string) bool {
	for _, s := range g.byChar[ch] {
		if s.place.At[0] == v {
			return true
		}
	}
	return false
}

// wide puts the first dimension in columns.
func (g grid) wide(dim string, chars []*family.Characteristic, values []string) Table {
	t := Table{Caption: g.caption(dim, values)}
	for _, v := range values {
		t.Columns = append(t.Columns, g.c.index(g.r, dim, v))
	}
	for _, ch := range chars {
		rg := g.group(ch)
		rows := map[string]int{}
		for _, s := range g.byChar[ch] {
			col := indexOf(values, s.place.At[0])
			if col < 0 {
				continue
			}
			rest := strings.Join(s.place.At[1:], "/")
			i, ok := rows[rest]
			if !ok {
				i = len(rg.Rows)
				rows[rest] = i
				head := g.c.where(g.r, ch.Per[1:], s.place.At[1:])
				if head == "" {
					head = ch.Name.In(g.r.Lang)
				}
				rg.Rows = append(rg.Rows, Row{Head: head, Cells: voids(len(values))})
			}
			rg.Rows[i].Cells[col] = g.cell(s)
		}
		if len(rg.Rows) > 0 {
			rg.Single = len(ch.Per) == 1
			t.Groups = append(t.Groups, rg)
		}
	}
	return t
}

func voids(n int) []Cell {
	out := make([]Cell, n)
	for i := range out {
		out[i].Void = true
	}
	return out
}

// down puts the values of the only dimension in rows, so that the eye runs
// down a column of bars.
func (g grid) down(dim string, chars []*family.Characteristic, values []string) []Table {
	var out []Table
	for len(chars) > 0 {
		n := min(4, len(chars))
		t := Table{Caption: g.caption(dim, values), Down: true}
		var rg RowGroup
		for _, ch := range chars[:n] {
			one := g.group(ch)
			head := one.Name
			if one.Unit != "" {
				head += ", " + one.Unit
			}
			t.Columns = append(t.Columns, head)
			for _, l := range one.Limits {
				if n > 1 {
					l = one.Name + ": " + l
				}
				rg.Limits = append(rg.Limits, l)
			}
			rg.Weak = rg.Weak || one.Weak
		}
		for _, v := range values {
			row := Row{Head: g.c.index(g.r, dim, v), Cells: voids(n)}
			for k, ch := range chars[:n] {
				for _, s := range g.byChar[ch] {
					if s.place.At[0] == v {
						row.Cells[k] = g.cell(s)
					}
				}
			}
			rg.Rows = append(rg.Rows, row)
		}
		t.Groups = []RowGroup{rg}
		out = append(out, t)
		chars = chars[n:]
	}
	return out
}

func (g grid) caption(dim string, values []string) string {
	if len(values) == 1 {
		return g.c.index(g.r, dim, values[0])
	}
	return g.r.T("page.table.span", "from", g.c.index(g.r, dim, values[0]), "to", g.c.index(g.r, dim, values[len(values)-1]))
}

// group heads the rows of one characteristic with the limits that apply.
func (g grid) group(ch *family.Characteristic) RowGroup {
	rg := RowGroup{Name: ch.Name.In(g.r.Lang), Unit: ch.Unit, Derived: ch.Relation}
	if rg.Unit == "1" {
		rg.Unit = ""
	}
	seen := map[string]bool{}
	for _, s := range g.byChar[ch] {
		v := s.latest()
		l := g.c.limits(g.r, v)
		if l == nil || l.Range == "" {
			continue
		}
		line := g.r.T("page.limit.line", "range", l.Range, "for", l.For)
		if !seen[line] {
			seen[line] = true
			rg.Limits = append(rg.Limits, line)
		}
		rg.Weak = rg.Weak || l.Weak
	}
	return rg
}

// cell shows the value of a position.
func (g grid) cell(s spot) Cell {
	v := s.in(g.state)
	if v == nil {
		v = s.latest()
	}
	if g.state != "" && v.State != g.state {
		return Cell{Void: true}
	}
	cell := Cell{Link: Link{Href: AtHref(g.c.id(), v.Position, v.State), Text: g.c.words(g.r, v)}, Check: v.Check || s.place.Char.Quantity == family.Check,
		Value: g.r.number(g.c.check(g.r, v.Y), v.Unit), Armed: v.Position == g.armed}
	if v.State != "found" {
		cell.State = g.r.State(v.State)
	}
	if cell.Check || v.Verdict == "" && v.Limit == nil {
		cell.Check = cell.Check || !v.Has
		cell.Plate = g.r.plate(plot.Verdict(v.Verdict))
		return cell
	}
	b := g.c.bar(g.r, v)
	b.Labels.Title = "" // the link says it
	cell.Bar = Drawing(b.RowSVG())
	return cell
}

func indexOf(list []string, s string) int {
	for i, v := range list {
		if v == s {
			return i
		}
	}
	return -1
}
