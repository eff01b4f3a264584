package page

import (
	"html/template"
	"strings"

	"fettle/internal/show/view"
)

// cells writes one row of limit bars. A sheet holds hundreds of cells, and a
// template spends more on each than all the rest of the page costs; so this one
// piece is written by hand. Every text in it is escaped, drawings are plot's.
func cells(row []view.Cell) template.HTML {
	var b strings.Builder
	n := 0
	for i := range row {
		n += 260 + len(row[i].Link.Text) + len(row[i].Bar) + len(row[i].Plate.Sign)
	}
	b.Grow(n)
	for i := range row {
		cell(&b, &row[i])
	}
	return template.HTML(b.String())
}

func cell(b *strings.Builder, c *view.Cell) {
	if c.Void {
		b.WriteString(`<td class="void"></td>`)
		return
	}
	b.WriteString("<td")
	if c.Armed {
		b.WriteString(` class="armed"`)
	}
	attr(b, "data-unit", c.Value.Unit)
	if c.Value.Ratio {
		b.WriteString(` data-ratio="yes"`)
	}
	b.WriteString("><a")
	attr(b, "href", c.Link.Href)
	attr(b, "aria-label", c.Link.Text)
	b.WriteByte('>')
	switch {
	case c.Check && c.Plate.Verdict != "":
		b.WriteString(string(c.Plate.Sign))
		span(b, "word", c.Plate.Word)
	case c.Bar != "":
		span(b, "num", dash(c.Value.Text))
		b.WriteString(string(c.Bar))
	case c.Check:
		span(b, "num", c.Value.Text)
	default:
		span(b, "num free", dash(c.Value.Text))
		b.WriteString(string(c.Plate.Sign))
	}
	if c.State != "" {
		span(b, "state", c.State)
	}
	b.WriteString("</a></td>")
}

func attr(b *strings.Builder, name, value string) {
	if value == "" {
		return
	}
	b.WriteByte(' ')
	b.WriteString(name)
	b.WriteString(`="`)
	b.WriteString(template.HTMLEscapeString(value))
	b.WriteByte('"')
}

func span(b *strings.Builder, class, text string) {
	b.WriteString(`<span class="`)
	b.WriteString(class)
	b.WriteString(`">`)
	b.WriteString(template.HTMLEscapeString(text))
	b.WriteString("</span>")
}

func dash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}
