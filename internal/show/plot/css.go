package plot

import (
	"fmt"
	"strconv"
	"strings"
)

// CSS returns the stylesheet of every drawing: the palette as custom
// properties for both themes (the reader's preference, or data-theme="paper"
// or "blueprint" on the root), ink on white in print, system colours where
// colours are forced, and one class an ink and a line.
func CSS() string {
	var b strings.Builder
	dark := properties(Blueprint)
	fmt.Fprintf(&b, ":root{color-scheme:light;%s}\n", properties(Paper))
	fmt.Fprintf(&b, "@media (prefers-color-scheme:dark){:root:not([data-theme=paper]){color-scheme:dark;%s}}\n", dark)
	fmt.Fprintf(&b, ":root[data-theme=blueprint]{color-scheme:dark;%s}\n", dark)
	fmt.Fprintf(&b, "@media print{:root:root{color-scheme:light;%s}}\n", properties(Print))
	fmt.Fprintf(&b, "@media (forced-colors:active){:root:root{%s}}\n", forced())
	b.WriteString(classes())
	return b.String()
}

// FontFace returns the rules that load the house's type from two addresses.
func FontFace(regular, bold string) string {
	rule := "@font-face{font-family:%s;font-weight:%d;font-display:block;src:url(%q) format(\"truetype\")}\n"
	return fmt.Sprintf(rule, FontFamily, 400, regular) + fmt.Sprintf(rule, FontFamily, 700, bold)
}

func properties(t Theme) string {
	var b strings.Builder
	for _, i := range Inks() {
		fmt.Fprintf(&b, "--%s:#%06X;", i, i.row().values[t])
	}
	return strings.TrimSuffix(b.String(), ";")
}

func forced() string {
	var b strings.Builder
	for _, i := range Inks() {
		fmt.Fprintf(&b, "--%s:%s;", i, i.row().forced)
	}
	return strings.TrimSuffix(b.String(), ";")
}

func classes() string {
	var b strings.Builder
	fmt.Fprintf(&b, ".plot{fill:none;stroke:none;stroke-linejoin:round;stroke-linecap:butt;"+
		"max-width:100%%;height:auto;overflow:visible;font-family:%s,sans-serif;font-kerning:none;font-variant-ligatures:none}\n", FontFamily)
	b.WriteString(".plot text{white-space:pre}.plot .b{font-weight:700}.plot .halo{paint-order:stroke;stroke:var(--ground);stroke-width:3px}\n")
	b.WriteString(".plot .m{text-anchor:middle}.plot .e{text-anchor:end}\n")
	b.WriteString(".plot a{cursor:pointer}.plot a:focus-visible{outline:2px solid var(--accent);outline-offset:2px}\n")
	b.WriteString(".plot .spot rect[class=\"\"]{pointer-events:all}\n") // the room of a finger about a mark
	b.WriteString(".plot .f-code{shape-rendering:crispEdges}\n")        // no seams between the rows of modules
	for _, i := range Inks() {
		fmt.Fprintf(&b, ".plot .s-%s{stroke:var(--%s)}.plot .f-%s{fill:var(--%s)}\n", i, i, i, i)
	}
	for _, l := range Lines() {
		r := l.row()
		fmt.Fprintf(&b, ".plot .%s{stroke-width:%spx", r.name, shortFloat(r.width))
		if r.dash != nil {
			var d []string
			for _, v := range r.dash {
				d = append(d, shortFloat(v))
			}
			b.WriteString(";stroke-dasharray:" + strings.Join(d, " "))
		}
		b.WriteString("}\n")
	}
	return b.String()
}

func shortFloat(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
