package plot

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// tags returns the elements of a drawing that hold a word.
func tags(doc, word string) (out []string) {
	for _, t := range strings.Split(doc, "<")[1:] {
		if strings.Contains(t, word) {
			out = append(out, "<"+t)
		}
	}
	return out
}

// Law: bars of a budget are as long as their shares, and words stay inside.
func TestBudgetBars(t *testing.T) {
	b := Budget{Bars: []BudgetBar{{Label: "gauge", Figure: "60 %", Share: 0.6, Note: "repeat at 3 heights"}, {Label: "ring", Figure: "30 %", Share: 0.3}, {Label: "rest", Figure: "10 %", Share: 0.1}}}
	doc := Inline(260, b.Height(), "", func(c Canvas) { b.Draw(c, Point{}, 260) })
	var long []float64
	for _, r := range tags(doc, "rect ") {
		long = append(long, attrFloat(t, r, "width"))
	}
	if len(long) != 3 || math.Abs(long[0]-2*long[1]) > 0.02 || math.Abs(long[1]-3*long[2]) > 0.03 {
		t.Errorf("lengths %v for shares 0.6, 0.3, 0.1", long)
	}
	for _, words := range []string{"60 %", "repeat at 3 heights"} {
		if x := textX(t, doc, words) + Width(words, SizeSmall, Regular); x > 260 {
			t.Errorf("%q ends at %v", words, x)
		}
	}
}

// Law: a profile sets a station where its axes say, on either plan, and a
// value beyond the scale at its end, pointing on.
func TestProfilePlaces(t *testing.T) {
	v, far := 10.0, 99.0
	p := Profile{Along: Axis{Min: 0, Max: 100}, Across: Axis{Min: 0, Max: 20}, Traces: []Trace{{"", []Station{{At: 25, Value: &v, Verdict: Accept}}}}}
	for _, upright := range []bool{false, true} {
		p.Upright = upright
		f := p.frame(Point{}, 300, 200)
		doc := Inline(300, 200, "", func(c Canvas) { p.Draw(c, Point{}, 300, 200) })
		disc := tags(doc, "circle")[0]
		want := Pt(f.Left+0.25*(f.Right-f.Left), (f.Top+f.Bottom)/2)
		if upright { // deviation to the right, heights downward
			want = Pt((f.Left+f.Right)/2, f.Top+0.25*(f.Bottom-f.Top))
		}
		if x, y := attrFloat(t, disc, "cx"), attrFloat(t, disc, "cy"); math.Hypot(x-want.X, y-want.Y) > 0.01 {
			t.Errorf("upright %v: station at %v %v, want %v", upright, x, y, want)
		}
	}
	p.Traces[0].Stations[0] = Station{At: 25, Value: &far, Verdict: Accept}
	doc := Inline(300, 200, "", func(c Canvas) { p.Draw(c, Point{}, 300, 200) })
	if len(tags(doc, `path d="M`)) == 0 || !slices.ContainsFunc(tags(doc, "path"), func(s string) bool { return strings.Contains(s, `class="f-in"`) }) {
		t.Error("a value beyond the scale has no arrow")
	}
}

// Law: what was not measured breaks the line; nothing is drawn across the gap.
func TestProfileGap(t *testing.T) {
	v := 5.0
	st := func(at float64) Station { return Station{At: at, Value: &v, Verdict: Accept} }
	lines := func(mid Station) int {
		p := Profile{Along: Axis{Min: 0, Max: 4}, Across: Axis{Min: 0, Max: 20}, Traces: []Trace{{"", []Station{st(0), st(1), mid, st(3), st(4)}}}}
		return len(tags(Inline(300, 200, "", func(c Canvas) { p.Draw(c, Point{}, 300, 200) }), "heavy"))
	}
	if whole, broken := lines(st(2)), lines(Station{At: 2}); whole != 1 || broken != 2 {
		t.Errorf("whole line in %d pieces, broken in %d", whole, broken)
	}
}

// Law: a limit is hatched on its forbidden side only.
func TestLimitHatchSide(t *testing.T) {
	f := Frame{Left: 0, Top: 0, Right: 100, Bottom: 100, X: Axis{Max: 1}, Y: Axis{Max: 1}}
	for _, c := range []struct {
		l              Limit
		x0, y0, x1, y1 float64
	}{
		{Limit{At: 0.5, Forbidden: Over}, 0, 40, 100, 50},
		{Limit{At: 0.5, Forbidden: Under}, 0, 50, 100, 60},
		{Limit{At: 0.5, Forbidden: Over, Across: true}, 50, 0, 60, 100},
		{Limit{At: 0.5, Forbidden: Under, Across: true}, 40, 0, 50, 100},
	} {
		rec := &recorder{}
		f.drawLimit(rec, c.l)
		if len(rec.paths) != 1 {
			t.Fatalf("%+v: %d hatchings", c.l, len(rec.paths))
		}
		for _, e := range rec.paths[0].segs {
			p := e.p[0]
			if p.X < c.x0-1e-9 || p.X > c.x1+1e-9 || p.Y < c.y0-1e-9 || p.Y > c.y1+1e-9 {
				t.Errorf("%+v: hatching at %v is on the allowed side", c.l, p)
			}
		}
	}
}

// recorder keeps the figures drawn on it.
type recorder struct {
	Canvas
	paths []*Path
}

func (r *recorder) Path(p *Path, _ Style)    { r.paths = append(r.paths, p) }
func (r *recorder) Line(_, _ Point, _ Style) {}
func (r *recorder) Text(Point, Text)         {}

// Law: a face keeps its shape, fits its box and lies with y upward.
func TestFlatMapFit(t *testing.T) {
	m := FlatMap{Outline: []Point{{0, 0}, {400, 0}, {400, 100}, {0, 100}}}
	place, scale := m.fit(Pt(10, 20), 300, 300)
	a, b := place(Pt(0, 0)), place(Pt(400, 100))
	if math.Abs((b.X-a.X)/(a.Y-b.Y)-4) > 1e-9 || b.Y > a.Y {
		t.Errorf("corners %v %v lose the shape", a, b)
	}
	if a.X < 10 || b.X > 310 || b.Y < 20 || a.Y > 320 || math.Abs(scale-(300-2*mapMargin)/400) > 1e-12 {
		t.Errorf("corners %v %v, scale %v leave the box", a, b, scale)
	}
	if _, s := (FlatMap{}).fit(Point{}, 10, 10); s != 0 {
		t.Error("a face without outline has no scale")
	}
}

// Law: whatever stands in a title block stays in its cell, and every field
// is there.
func TestTitleBlockFits(t *testing.T) {
	long := Field{"Bezeichnung", strings.Repeat("Hauptlagergassenbohrung ", 8)}
	tb := TitleBlock{long, long, long, long, long, long, long, long, long}
	if n := len(tb.Fields()); n != 9 {
		t.Fatalf("%d fields", n)
	}
	for i, r := range tb.rows() {
		sum := 0.0
		for _, k := range r {
			sum += k.share
			doc := Inline(760, 40, "", func(c Canvas) { k.draw(c, Point{}, 760*k.share, false) })
			for _, tag := range tags(doc, "text x") {
				head, words, _ := strings.Cut(tag, ">")
				if end := attrFloat(t, head, "x") + Width(words, attrFloat(t, head, "font-size"), Bold); end > 760*k.share {
					t.Errorf("%q ends at %v in a cell %v wide", words, end, 760*k.share)
				}
			}
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("line %d: shares add up to %v", i, sum)
		}
	}
}

// Law: a series that leaves the plot is cut at its edge, and a gap lifts the
// pen.
func TestSeriesIsClipped(t *testing.T) {
	f := Frame{Left: 0, Top: 0, Right: 100, Bottom: 100, X: Axis{Max: 10}, Y: Axis{Max: 10}}
	rec := &recorder{}
	f.drawSeries(rec, Series{Samples: []Sample{{X: 1, Y: 5}, {X: 3, Y: 15}, {X: 5, Y: 5}, {X: 6, Y: 5, Gap: true}, {X: 20, Y: 5}}})
	if len(rec.paths) != 2 {
		t.Fatalf("%d runs, want 2", len(rec.paths))
	}
	want := [][]Point{{{10, 50}, {20, 0}, {40, 0}, {50, 50}}, {{60, 50}, {100, 50}}}
	for i, p := range rec.paths {
		var got []Point
		for _, s := range p.segs {
			got = append(got, s.p[0])
		}
		if !slices.EqualFunc(got, want[i], func(a, b Point) bool { return math.Hypot(a.X-b.X, a.Y-b.Y) < 1e-9 }) {
			t.Errorf("run %d: %v, want %v", i, got, want[i])
		}
	}
}

// Law: what lies outside a limit is hatched, what lies inside is not; a limit
// far off leaves the axis as it is.
func TestSpreadHatchesTheOutside(t *testing.T) {
	at := func(low, high *float64) int {
		r := &recorder{Canvas: NewSVG(400, SpreadHeight, "")}
		Spread{Across: Axis{Min: 0, Max: 10}, From: 2, To: 8, Bars: []float64{1, 2, 3, 2, 1, 1}, Low: low, High: high, Value: 5, Ends: [2]float64{3, 7}}.Draw(r, Pt(0, 0), 400)
		return len(r.paths)
	}
	none := at(nil, nil)
	if n := at(ptr(-5), ptr(50)); n != none {
		t.Errorf("%d figures with limits far off, %d without", n, none)
	}
	// The columns outside and the forbidden side of the limit.
	if n := at(ptr(4), nil); n != none+2 {
		t.Errorf("%d figures with a limit in the columns, %d without", n, none)
	}
	if n := at(ptr(1), nil); n != none+1 {
		t.Errorf("%d figures with a limit beside the columns, %d without", n, none)
	}
}

// Law: labels of lines stand clear of holes and spots, or do not stand.
func TestFlatMapLabelsStandClear(t *testing.T) {
	m := FlatMap{Outline: []Point{{0, 0}, {400, 0}, {400, 100}, {0, 100}}, Holes: []Hole{{Pt(200, 50), 45}}}
	place, scale := m.fit(Pt(0, 0), 428, 128)
	in := Contour{Label: "+1", Points: []Point{{190, 50}, {210, 50}}}
	if _, ok := m.labelPlace(in, place, scale, nil); ok {
		t.Error("a label stands in a hole")
	}
	out := Contour{Label: "+1", Points: []Point{{20, 20}, {60, 20}, {100, 20}}}
	p, ok := m.labelPlace(out, place, scale, []Point{place(Pt(20, 20))})
	if !ok || p != place(Pt(100, 20)) {
		t.Errorf("label at %v, %v", p, ok)
	}
}
