package compute

import (
	"fmt"
	"strconv"

	"fettle/internal/base/unit"
)

// read takes one field out of the input.
func (c *call) read(f field) {
	t := c.t.get(f.name)
	if f.extent == oneWord {
		c.texts[f.name] = c.choice(c.t, "", f.name, f.words...)
		return
	}
	if t == nil {
		if f.need {
			c.on(c.t.at, f.name).say("compute.missing", "symbol", f.name, "kind", f.kind())
		}
		return
	}
	switch f.extent {
	case oneValue:
		if c.nums[f.name] = c.cell(t, f.name, f.dim); f.name == "u" && c.nums["u"] < 0 {
			c.on(t.at, f.name).say("compute.doubt", "symbol", "u", "found", t.text)
		}
	case oneText:
		c.texts[f.name] = c.text(t, f.name)
	case oneWhole:
		c.nums[f.name] = float64(c.reader.whole(c.t, "", f.name, 0, f.least, max(f.most, f.least)))
	case aList:
		if c.bounded(f, t, f.name) {
			c.lists[f.name] = c.cellsOf(t, f.name, f.dim)
		}
	case aTable:
		c.rows[f.name] = c.table(f, t, f.name)
	case aCube:
		if !c.bounded(f, t, f.name) {
			return
		}
		for i, e := range t.list {
			c.cubes[f.name] = append(c.cubes[f.name], c.table(f, e, fmt.Sprintf("%s[%d]", f.name, i)))
		}
	}
}

// kind says what a field takes, for a sentence.
func (f field) kind() string {
	switch f.extent {
	case aList:
		return "list of " + kindOf(f.dim)
	case aTable:
		return "rows of " + kindOf(f.dim)
	case aCube:
		return "lists of rows of " + kindOf(f.dim)
	case oneText:
		return "text"
	}
	return kindOf(f.dim)
}

func lone(d unit.Dim) string {
	if d == unit.Number {
		return "1"
	}
	return ""
}

func (c *call) cell(t *tree, path string, d unit.Dim) float64 {
	a, _ := c.amount(t, path, d, lone(d))
	return a.si
}

func (c *call) cellsOf(t *tree, path string, d unit.Dim) []float64 {
	out := make([]float64, len(t.list))
	for i, e := range t.list {
		out[i] = c.cell(e, path+"["+strconv.Itoa(i)+"]", d)
	}
	return out
}

func (c *call) bounded(f field, t *tree, path string) bool {
	most := f.most
	if most == 0 {
		most = mostValues
	}
	if t.kind != 'a' {
		c.on(t.at, path).say("compute.not-a-list", "symbol", f.name, "kind", f.kind())
		return false
	}
	if len(t.list) < f.least || len(t.list) > most {
		c.on(t.at, path).say("compute.between", "symbol", f.name, "found", strconv.Itoa(len(t.list)), "least", strconv.Itoa(f.least), "most", strconv.Itoa(most))
		return false
	}
	return true
}

// table reads rows; columns of text are kept beside the values.
func (c *call) table(f field, t *tree, path string) [][]float64 {
	if !c.bounded(f, t, path) {
		return nil
	}
	var out [][]float64
	for i, row := range t.list {
		at := fmt.Sprintf("%s[%d]", path, i)
		if row.kind != 'a' || len(f.row) > 0 && len(row.list) != len(f.row) || len(row.list) == 0 || len(row.list) > mostValues {
			c.on(row.at, at).say("compute.row", "symbol", f.name, "row", strconv.Itoa(i+1), "expected", f.columns())
			return nil
		}
		if len(f.row) == 0 {
			if f.mixed {
				out = append(out, c.mixed(f, row, at))
			} else {
				out = append(out, c.cellsOf(row, at, f.dim))
			}
			continue
		}
		var nums []float64
		var texts []string
		for j, e := range row.list {
			if f.row[j].text {
				texts = append(texts, c.text(e, at))
			} else {
				nums = append(nums, c.cell(e, at+"["+strconv.Itoa(j)+"]", f.row[j].dim))
			}
		}
		out, c.cells[f.name] = append(out, nums), append(c.cells[f.name], texts)
	}
	return out
}

// mixed reads a row whose columns each have a kind of their own, that of the
// first row.
func (c *call) mixed(f field, row *tree, path string) []float64 {
	c.free = true
	defer func() { c.free = false }()
	var out []float64
	for j, e := range row.list {
		a, ok := c.amount(e, path+"["+strconv.Itoa(j)+"]", unit.None, "1")
		if j == len(c.columns[f.name]) {
			c.columns[f.name] = append(c.columns[f.name], a.scale)
		}
		if s := c.columns[f.name][j]; ok && (a.kind != s.kind || !a.powers.same(s.powers)) {
			c.wrongUnit(e.at, path, e.text, s)
		}
		out = append(out, a.si)
	}
	return out
}

// columns says what a row holds.
func (f field) columns() string {
	if len(f.row) == 0 {
		return "a list of " + kindOf(f.dim)
	}
	s := ""
	for i, col := range f.row {
		if i > 0 {
			s += ", "
		}
		s += col.name
	}
	return "[" + s + "]"
}

// schema of a procedure.
func (p *procedure) schema() []byte {
	props, required := object{"unit": text("unit wanted for figures of its kind")}, []string{}
	if p.doubted {
		for k, v := range valueMembers() {
			if k != "of" && k != "cause" && k != "doubts" {
				props[k] = v
			}
		}
	}
	for _, f := range p.fields {
		props[f.name] = f.schema()
		if f.need {
			required = append(required, f.name)
		}
	}
	t := object{"type": "string"}
	out := object{"type": "object", "properties": object{"name": t, "source": t, "notes": object{"type": "array", "items": t},
		"result": object{"type": "object", "additionalProperties": object{"oneOf": []any{t, object{"type": "array", "items": t}}}}}}
	return printed(p.name, required, props, object{"output": out})
}

func (f field) schema() object {
	cell := func(d unit.Dim) object {
		if d == unit.Number {
			return object{"oneOf": []any{text("a pure number"), object{"type": "number"}}}
		}
		return text(unitsOf(d))
	}
	rows := object{"type": "array", "items": cell(f.dim)}
	if len(f.row) > 0 {
		var each []any
		for _, col := range f.row {
			if col.text {
				each = append(each, text(col.name))
			} else {
				each = append(each, merge(cell(col.dim), object{"description": col.name + ": " + unitsOf(col.dim)}))
			}
		}
		rows = object{"type": "array", "prefixItems": each, "items": false, "minItems": len(each)}
	}
	var s object
	switch f.extent {
	case oneWord:
		s = object{"enum": f.words}
	case oneText:
		s = object{"type": "string"}
	case oneWhole:
		s = object{"oneOf": []any{object{"type": "integer", "minimum": f.least, "maximum": max(f.most, f.least)}, object{"type": "string"}}}
	case aList:
		s = object{"type": "array", "items": cell(f.dim)}
	case aTable:
		s = object{"type": "array", "items": rows}
	case aCube:
		s = object{"type": "array", "items": object{"type": "array", "items": rows}}
	default:
		s = cell(f.dim)
	}
	if f.extent == aList || f.extent == aTable || f.extent == aCube {
		s["minItems"] = f.least
	}
	s["description"] = f.what
	return s
}
