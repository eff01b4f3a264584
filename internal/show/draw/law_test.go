package draw

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"fettle/internal/know/family"
	"fettle/internal/know/family/familytest"
	"fettle/internal/show/plot"
)

// families are those of the repository and every step-th engine of the grid;
// a short run takes fewer.
func families(t *testing.T, step int) map[string]*family.Layout {
	out := map[string]*family.Layout{}
	for _, name := range []string{"corran-24-5", "tarn-32-6", "skerry-40-8", "brae-05-1"} {
		out[name] = read(t, name)
	}
	if testing.Short() {
		step *= 7
	}
	for i, s := range familytest.Grid() {
		if i%step == 0 {
			out[s.String()] = lay(t, s.String(), s.Text())
		}
	}
	return out
}

// Law: every component of every family draws the same twice, as well-formed
// SVG with nothing off the sheet, with every position in exactly one seat.
func TestEveryComponentOfEveryFamilyDraws(t *testing.T) {
	n := 0
	for name, l := range families(t, 1) {
		n++
		for _, comp := range l.Family.Components {
			marks := marked(l, comp.ID)
			a := svg(l, comp.ID, marks, Options{})
			if n%4 == 0 && a != svg(l, comp.ID, marks, Options{}) {
				t.Errorf("%s %s: two drawings differ", name, comp.ID)
			}
			w, h := Size(l, comp.ID, Options{})
			onSheet(t, name+" "+comp.ID, a, w, h)
			count := map[string]int{}
			for _, piece := range strings.Split(a, `data-position="`)[1:] {
				ids, _, _ := strings.Cut(piece, `"`)
				for _, id := range strings.Fields(ids) {
					count[id]++
				}
			}
			for id := range marks {
				if count[id] != 1 {
					t.Fatalf("%s: %s stands %d times on its drawing", name, id, count[id])
				}
			}
			if len(count) != len(marks) {
				t.Errorf("%s %s: %d positions drawn, %d marked", name, comp.ID, len(count), len(marks))
			}
			if got := Describe(l, comp.ID); len(got) != len(marks) {
				t.Errorf("%s %s: %d positions described, %d marked", name, comp.ID, len(got), len(marks))
			}
			if n%4 != 0 {
				continue
			}
			bare := svg(l, comp.ID, nil, Options{})
			onSheet(t, name+" "+comp.ID+" bare", bare, w, h)
			if strings.Contains(bare, "data-position") || strings.Contains(bare, "<a") {
				t.Errorf("%s %s: marks without marks", name, comp.ID)
			}
		}
		e := engineSVG(l, engineMarks(l))
		if e != engineSVG(l, engineMarks(l)) {
			t.Errorf("%s: two drawings of the engine differ", name)
		}
		w, h := EngineSize(l, engineMarks(l), Options{})
		onSheet(t, name+" engine", e, w, h)
		if n := strings.Count(e, "data-component="); n != len(l.Family.Components) {
			t.Errorf("%s: %d of %d components in the overview", name, n, len(l.Family.Components))
		}
	}
}

// Law: every mark has the room a finger needs, whole on the sheet.
func TestMarksKeepTheirRoom(t *testing.T) {
	for name, l := range families(t, 5) {
		for _, comp := range l.Family.Components {
			w, h := Size(l, comp.ID, Options{})
			spots := Spots(l, comp.ID, marked(l, comp.ID), Options{})
			for i, a := range spots {
				if a.At.X < touch/2-0.01 || a.At.Y < touch/2-0.01 || a.At.X > w-touch/2+0.01 || a.At.Y > h-touch/2+0.01 {
					t.Errorf("%s: %s at %v leaves the sheet %v × %v", name, a.Positions[0], a.At, w, h)
				}
				for _, b := range spots[i+1:] {
					if math.Abs(a.At.X-b.At.X) < touch-0.1 && math.Abs(a.At.Y-b.At.Y) < touch-0.1 {
						t.Errorf("%s: %s and %s touch: %v %v", name, a.Positions[0], b.Positions[0], a.At, b.At)
					}
				}
			}
		}
	}
}

// Law: a mark stands near the place it speaks of.
func TestMarksStayAtTheirPlace(t *testing.T) {
	for name, l := range families(t, 5) {
		if l.Family.Engine.Cylinders > 8 {
			continue
		}
		for _, comp := range l.Family.Components {
			s := newSheet(blank{}, l, comp.ID, Options{})
			s.lay()
			at := map[string]plot.Point{}
			for _, i := range s.places {
				at[l.Places[i].ID] = s.seats[s.where(&l.Places[i])].at
			}
			for _, sp := range Spots(l, comp.ID, marked(l, comp.ID), Options{}) {
				p := at[sp.Positions[0]]
				if d := math.Hypot(p.X-sp.At.X, p.Y-sp.At.Y); d > 1.5*touch {
					t.Errorf("%s: %s stands %.0f from its place", name, sp.Positions[0], d)
				}
			}
		}
	}
}

// Law: the gravest verdict of a seat leads, and the armed position before it.
func TestTheGravestLeads(t *testing.T) {
	l := read(t, "corran-24-5")
	marks := Marks{
		"block/bore-wear/2":       {Verdict: plot.Accept, Title: "wear", Href: "/a"},
		"block/bore-squareness/2": {Verdict: plot.Reject, Title: "square", Href: "/b"},
		"block/bore-rpk/2":        {Verdict: plot.Undecided, Title: "rpk", Href: "/c"},
	}
	spots := Spots(l, "block", marks, Options{})
	if len(spots) != 1 || strings.Join(spots[0].Positions, " ") != "block/bore-squareness/2 block/bore-rpk/2 block/bore-wear/2" {
		t.Fatalf("got %v", spots)
	}
	text := svg(l, "block", marks, Options{})
	if !strings.Contains(text, `href="/b"`) || strings.Contains(text, `href="/a"`) || !strings.Contains(text, "<title>square\nrpk\nwear</title>") {
		t.Errorf("the link or the title does not follow the gravest: %s", text[strings.Index(text, "spot")-40:][:300])
	}
	armed := marks["block/bore-wear/2"]
	armed.Armed = true
	marks["block/bore-wear/2"] = armed
	if got := Spots(l, "block", marks, Options{})[0].Positions[0]; got != "block/bore-wear/2" {
		t.Errorf("the armed position does not lead: %s", got)
	}
	if got := Spots(l, "block", marks, Options{Only: []string{"block/bore-rpk"}}); len(got) != 1 || len(got[0].Positions) != 1 {
		t.Errorf("only one characteristic was asked for, got %v", got)
	}
}

// Law: figures are written the reader's way, and only figures.
func TestFiguresAreTheReaders(t *testing.T) {
	l := read(t, "corran-24-5")
	comma := Options{Figure: func(s string) string { return strings.ReplaceAll(s, ".", ",") }}
	bore := l.Family.Engine.Bore.Text
	if a := svg(l, "block", nil, Options{}); !strings.Contains(a, ">Ø "+bore+"<") {
		t.Errorf("the bore is not written as in the file: Ø %s", bore)
	}
	if a := svg(l, "block", nil, comma); !strings.Contains(a, ">Ø "+strings.ReplaceAll(bore, ".", ",")+"<") {
		t.Error("the bore is not written the reader's way")
	}
}

// Law: positions stand in the order of the part: bores along the block,
// heights downward, inlet valves above exhausts.
func TestPositionsLieAsOnThePart(t *testing.T) {
	for name, l := range families(t, 5) {
		e := &l.Family.Engine
		if e.Layout != "inline" || e.Cylinders > 8 {
			continue
		}
		at := map[string]plot.Point{}
		for _, comp := range []string{"block", "valve", "crank"} {
			for _, s := range Spots(l, comp, marked(l, comp), Options{}) {
				for _, id := range s.Positions {
					at[id] = s.At
				}
			}
		}
		bores := map[string]plot.Point{}
		for i := range l.Places {
			if p := &l.Places[i]; p.Char.Component() == "block" && len(p.At) == 1 && p.Char.Per[0] == "cyl" {
				bores[p.At[0]] = at[p.ID]
			}
		}
		for c := 1; c <= e.Cylinders; c++ {
			n := strconv.Itoa(c)
			h1, h3 := at["block/bore/"+n+"/H1/T"], at["block/bore/"+n+"/H3/T"]
			if h1.Y >= h3.Y {
				t.Errorf("%s: H1 of cylinder %s is not above H3", name, n)
			}
			pair := n + "-" + strconv.Itoa(c+1)
			if b, ok := at["block/bridge/"+pair]; ok {
				lo, hi := bores[n], bores[strconv.Itoa(c+1)]
				if b.X <= lo.X+touch || b.X >= hi.X-touch || b == at["block/deck-z/C"+n] {
					t.Errorf("%s: bridge %s at %v does not lie between its bores %v %v, apart from the height of the face", name, pair, b, lo, hi)
				}
			}
			if next, ok := at["block/bore/"+strconv.Itoa(c+1)+"/H1/T"]; ok && next.X <= h1.X {
				t.Errorf("%s: cylinder %s is not before the next", name, n)
			}
			if e.Valves.Inlet+e.Valves.Exhaust > 2 && at["valve/stem/"+n+"/I1"].Y > at["valve/stem/"+n+"/E1"].Y {
				t.Errorf("%s: inlet of cylinder %s is not above its exhaust", name, n)
			}
			main, pin := at["crank/main-journal/"+n+"/1/T"], at["crank/pin-journal/"+n+"/1/T"]
			if main.X >= pin.X || main.Y >= pin.Y {
				t.Errorf("%s: main %s is not before and over its pin", name, n)
			}
		}
	}
}

// Law: every family prints, the same bytes twice.
func TestEveryFamilyPrints(t *testing.T) {
	all := families(t, 5)
	for _, s := range familytest.Grid() {
		if s.Cylinders%5 == 1 && s.Inlet != 2 || s.Cylinders == 12 {
			l := all[s.String()]
			if l == nil {
				continue
			}
			if a := pdf(t, l); !bytes.HasPrefix(a, []byte("%PDF")) || !bytes.Equal(a, pdf(t, l)) {
				t.Errorf("%s: no PDF, or not the same twice", s)
			}
		}
	}
}

// Common practice, no source: an even-firing inline four has its outer pins
// together and its inner pins opposite; a five has throws 72° apart; a
// cross-plane V8 has them in four quarters.
func TestThrows(t *testing.T) {
	for _, c := range []struct {
		name  string
		order []int
		e     family.Engine
		want  []float64
	}{
		{"four", []int{1, 3, 4, 2}, family.Engine{Layout: "inline", Cylinders: 4}, []float64{0, 180, 180, 0}},
		{"five", []int{1, 2, 4, 5, 3}, family.Engine{Layout: "inline", Cylinders: 5}, []float64{0, 216, 144, 72, 288}},
		{"six", []int{1, 5, 3, 6, 2, 4}, family.Engine{Layout: "inline", Cylinders: 6}, []float64{0, 240, 120, 120, 240, 0}},
		{"single", []int{1}, family.Engine{Layout: "inline", Cylinders: 1}, []float64{0}},
	} {
		c.e.FiringOrder = c.order
		g := geometry{n: c.e.Cylinders, pins: c.e.Pins(), banks: c.e.BankList()}
		got := g.throws(&c.e)
		for i := range c.want {
			if math.Abs(got[i]-c.want[i]) > 1e-9 {
				t.Errorf("%s: throws %v, want %v", c.name, got, c.want)
				break
			}
		}
	}
	l := read(t, "skerry-40-8")
	quarters := map[int]bool{}
	for _, a := range measure(l).throws(&l.Family.Engine) {
		quarters[int(math.Round(a))%360] = true
	}
	if len(quarters) != 4 || !quarters[0] || !quarters[90] || !quarters[180] || !quarters[270] {
		t.Errorf("the V8 has its throws at %v", quarters)
	}
}

// Common practice, no source: the pitch radius of a 20-tooth sprocket for a
// pitch of 8 mm is 8/(2 sin 9°) = 25.57 mm; the sides of the chain touch both
// circles square to the radius.
func TestDriveGeometry(t *testing.T) {
	s := familytest.Spec{Cylinders: 4, Inlet: 2, Exhaust: 2, Layout: "inline", Valvetrain: "bucket", Drive: "chain"}
	sh := newSheet(blank{}, lay(t, s.String(), s.Text()), "drive", Options{})
	if r := sh.pitchRadius(20); math.Abs(r-25.57) > 0.005 {
		t.Errorf("pitch radius %v", r)
	}
	a, b := wheel{at: plot.Pt(0, 0), r: 10}, wheel{at: plot.Pt(100, 20), r: 30}
	p, q, _ := touching(a, b)
	for _, v := range [][3]plot.Point{{p, q, a.at}, {q, p, b.at}} {
		dot := (v[1].X-v[0].X)*(v[0].X-v[2].X) + (v[1].Y-v[0].Y)*(v[0].Y-v[2].Y)
		if math.Abs(dot) > 1e-9 {
			t.Errorf("the run is not square to the radius: %v", dot)
		}
	}
}

// onSheet reads a drawing as XML and holds every coordinate within the view
// box, text by its width.
func onSheet(t *testing.T, name, text string, w, h float64) {
	t.Helper()
	const slack = 2.0
	bad := 0
	check := func(x, y float64, what string) {
		if (x < -slack || y < -slack || x > w+slack || y > h+slack) && bad < 3 {
			bad++
			t.Errorf("%s: %s at %.1f, %.1f lies off the sheet %.0f × %.0f", name, what, x, y, w, h)
		}
	}
	d := xml.NewDecoder(strings.NewReader(text))
	var open *xml.StartElement
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatalf("%s: not well formed: %v", name, err)
		}
		switch e := tok.(type) {
		case xml.StartElement:
			e = e.Copy()
			open = &e
			f := func(k string) float64 { v, _ := strconv.ParseFloat(attrOf(e, k), 64); return v }
			switch e.Name.Local {
			case "circle":
				check(f("cx")-f("r"), f("cy")-f("r"), "a circle")
				check(f("cx")+f("r"), f("cy")+f("r"), "a circle")
			case "rect":
				check(f("x"), f("y"), "a rectangle")
				check(f("x")+f("width"), f("y")+f("height"), "a rectangle")
			case "path":
				walk(attrOf(e, "d"), func(x, y float64) { check(x, y, "a line") })
			}
		case xml.CharData:
			if open != nil && open.Name.Local == "text" && attrOf(*open, "transform") == "" {
				size, _ := strconv.ParseFloat(attrOf(*open, "font-size"), 64)
				x, _ := strconv.ParseFloat(attrOf(*open, "x"), 64)
				y, _ := strconv.ParseFloat(attrOf(*open, "y"), 64)
				wide := plot.Width(string(e), size, plot.Regular)
				class := " " + attrOf(*open, "class") + " "
				switch {
				case strings.Contains(class, " m "):
					x -= wide / 2
				case strings.Contains(class, " e "):
					x -= wide
				}
				check(x, y, "text "+string(e))
				check(x+wide, y, "text "+string(e))
			}
		case xml.EndElement:
			open = nil
		}
	}
}

func attrOf(e xml.StartElement, key string) string {
	for _, a := range e.Attr {
		if a.Name.Local == key {
			return a.Value
		}
	}
	return ""
}

// walk visits the corners of a path, curves by their control points.
func walk(d string, visit func(x, y float64)) {
	op, x, y, half := byte(0), 0.0, 0.0, false
	for i := 0; i < len(d); {
		c := d[i]
		if c >= 'A' && c <= 'Z' || c == ' ' {
			if c != ' ' {
				op, half = c, false
			}
			i++
			continue
		}
		j := i + 1
		for j < len(d) && (d[j] == '.' || d[j] >= '0' && d[j] <= '9') {
			j++
		}
		v, err := strconv.ParseFloat(d[i:j], 64)
		i = j
		switch {
		case err != nil:
			visit(math.Inf(1), 0)
		case op == 'H':
			x = v
			visit(x, y)
		case op == 'V':
			y = v
			visit(x, y)
		case !half:
			x, half = v, true
		default:
			y, half = v, false
			visit(x, y)
		}
	}
}

func BenchmarkBlock(b *testing.B) {
	l := read(b, "corran-24-5")
	marks := marked(l, "block")
	for b.Loop() {
		svg(l, "block", marks, Options{})
	}
}
