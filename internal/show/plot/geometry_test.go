package plot

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Law: the arc stays on its circle to 1e-5 of the radius and ends where asked.
func TestArc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, a0 := rapid.Float64Range(1, 500).Draw(t, "r"), rapid.Float64Range(-360, 360).Draw(t, "a0")
		a1 := a0 + rapid.Float64Range(-360, 360).Draw(t, "sweep")
		c := Pt(30, -20)
		p := (&Path{}).Arc(c, r, a0, a1)
		for _, e := range p.edges() {
			if e[0] == e[1] || len(p.segs) < 2 {
				continue
			}
			if d := math.Hypot(e[0].X-c.X, e[0].Y-c.Y); math.Abs(d-r) > 1e-5*r {
				t.Fatalf("a point is %v from the centre, radius %v", d, r)
			}
		}
		if n := len(p.segs); n > 1 {
			end, want := p.segs[n-1].p[2], onCircle(c, r, a1)
			if math.Hypot(end.X-want.X, end.Y-want.Y) > 1e-9*r {
				t.Fatalf("ends at %v, want %v", end, want)
			}
		}
	})
}

// Law: hatching covers the figure and spares its hole: line length times
// spacing is the area (box less disc), to 2 %.
func TestHatchArea(t *testing.T) {
	for _, angle := range []float64{45, -45, 30, 90, 1} {
		fig := Box(3, 7, 200, 120).Append(Disc(Pt(90, 60), 40))
		got, spacing := 0.0, 1.5
		for _, s := range pairs(hatchLines(fig.edges(), angle, spacing)) {
			got += math.Hypot(s[1].X-s[0].X, s[1].Y-s[0].Y) * spacing
			if m := Pt((s[0].X+s[1].X)/2, (s[0].Y+s[1].Y)/2); math.Hypot(m.X-90, m.Y-60) < 38 {
				t.Errorf("angle %v: a line crosses the hole at %v", angle, m)
			}
		}
		if want := 200*120 - math.Pi*40*40; math.Abs(got-want) > 0.02*want {
			t.Errorf("angle %v: hatched area %v, want %v", angle, got, want)
		}
	}
}

func pairs(p *Path) (out [][2]Point) {
	for i := 0; i+1 < len(p.segs); i += 2 {
		out = append(out, [2]Point{p.segs[i].p[0], p.segs[i+1].p[0]})
	}
	return out
}

// Law: a clipped line lies in the box and on the line it came from; a line
// with an end in the box is never lost.
func TestClipLine(t *testing.T) {
	f := Frame{Left: -10, Top: -5, Right: 20, Bottom: 15}
	in := func(p Point, e float64) bool {
		return p.X >= f.Left-e && p.X <= f.Right+e && p.Y >= f.Top-e && p.Y <= f.Bottom+e
	}
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-60, 60)
		a, b := Pt(num.Draw(t, "ax"), num.Draw(t, "ay")), Pt(num.Draw(t, "bx"), num.Draw(t, "by"))
		p, q, ok := f.clipLine(a, b)
		if !ok {
			if in(a, 0) || in(b, 0) {
				t.Fatal("a line with an end in the box was lost")
			}
			return
		}
		for _, r := range []Point{p, q} {
			if !in(r, 1e-9) {
				t.Fatalf("%v is outside", r)
			}
			if cross := (b.X-a.X)*(r.Y-a.Y) - (b.Y-a.Y)*(r.X-a.X); math.Abs(cross) > 1e-6 {
				t.Fatalf("%v has left the line", r)
			}
		}
	})
}

// Law: the clipped area of a box is the area of the boxes' overlap.
func TestClipArea(t *testing.T) {
	f := Frame{Left: 0, Top: 0, Right: 10, Bottom: 10}
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-20, 20)
		x, y, w, h := num.Draw(t, "x"), num.Draw(t, "y"), rapid.Float64Range(0, 30).Draw(t, "w"), rapid.Float64Range(0, 30).Draw(t, "h")
		pts := f.clipArea([]Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}})
		got := 0.0
		for i, p := range pts {
			q := pts[(i+1)%len(pts)]
			got += (p.X*q.Y - q.X*p.Y) / 2
		}
		side := func(a, n float64) float64 { return max(0, min(10, a+n)-max(0, a)) }
		if want := side(x, w) * side(y, h); math.Abs(got-want) > 1e-9 {
			t.Fatalf("area %v, want %v", got, want)
		}
	})
}

// Law: ticks are few, evenly spaced, inside the axis, and all differ as
// written.
func TestTicks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-1e4, 1e4).Draw(t, "lo")
		hi := lo + math.Pow(10, rapid.Float64Range(-3, 5).Draw(t, "span"))
		n := rapid.IntRange(3, 8).Draw(t, "n")
		ts := Ticks(lo, hi, n, figure)
		if len(ts) < 2 || len(ts) > 2*n {
			t.Fatalf("%d ticks on %v to %v, asked for about %d", len(ts), lo, hi, n)
		}
		seen := map[string]bool{}
		for _, k := range ts {
			if k.At < lo-1e-6*(hi-lo) || k.At > hi+1e-6*(hi-lo) || seen[k.Label] {
				t.Fatalf("tick %v %q outside %v to %v or written twice", k.At, k.Label, lo, hi)
			}
			seen[k.Label] = true
		}
	})
	if Ticks(1, 1, 5, figure) != nil {
		t.Error("an axis without width has no ticks")
	}
}

// Law: spread labels keep their order and distance, and stay put when free.
func TestSpread(t *testing.T) {
	got := spread([]float64{10, 12, 50, 98, 99}, 13, 0, 100)
	for i := 1; i < len(got); i++ {
		if got[i]-got[i-1] < 13-1e-9 {
			t.Errorf("labels touch: %v", got)
		}
	}
	if got[0] != 10 || got[2] != 50 || got[4] != 100 {
		t.Errorf("moved more than needed: %v", got)
	}
}

// Law: a dimension's text reads from the foot or the right of the sheet
// (ISO 129-1).
func TestReadable(t *testing.T) {
	for a, want := range map[float64]float64{0: 0, 180: 0, -180: 0, 90: -90, -90: -90, 45: 45, 225: 45, -135: 45, 135: -45, 270: -90} {
		if got := readable(a); math.Abs(got-want) > 1e-9 {
			t.Errorf("direction %v reads at %v, want %v", a, got, want)
		}
	}
}

// Law: a dimension too short for its text has its arrows outside, pointing in.
func TestShortDimension(t *testing.T) {
	s := NewSVG(100, 100, "")
	Dimension(s, Pt(50, 50), Pt(54, 50), 10, "4.00")
	if x := textX(t, s.String(), "4.00"); x < 54+arrowLong {
		t.Errorf("text at %v stands on the extension lines", x)
	}
	m := NewSVG(100, 100, "")
	Dimension(m, Pt(50, 50), Pt(80, 50), 10, "120.0 ± 0.1")
	if x := textX(t, m.String(), "120.0 ± 0.1"); x < 80+arrowLong {
		t.Errorf("a text wider than its line stands on it, at %v", x)
	}
	l := NewSVG(300, 100, "")
	Dimension(l, Pt(50, 50), Pt(250, 50), 10, "200")
	if x := textX(t, l.String(), "200"); x != 150 {
		t.Errorf("text of a long dimension at %v, want its middle 150", x)
	}
}

func textX(t *testing.T, doc, text string) float64 {
	t.Helper()
	i := strings.Index(doc, ">"+text+"<")
	if i < 0 {
		t.Fatalf("no text %q in %s", text, doc)
	}
	tag := doc[strings.LastIndex(doc[:i], "<text"):i]
	return attrFloat(t, tag, "x")
}

func attrFloat(t *testing.T, tag, name string) (v float64) {
	t.Helper()
	_, rest, ok := strings.Cut(tag, " "+name+`="`)
	if !ok {
		t.Fatalf("no %s in %s", name, tag)
	}
	return mustFloat(t, rest[:strings.IndexByte(rest, '"')])
}

// Law: the frame sends the axis ends to its sides, and y upward.
func TestFrame(t *testing.T) {
	f := Frame{Left: 10, Top: 20, Right: 110, Bottom: 70, X: Axis{Min: -5, Max: 5}, Y: Axis{Min: 0, Max: 1}}
	if a, b, m := f.Place(-5, 0), f.Place(5, 1), f.Place(0, 0.5); a != Pt(10, 70) || b != Pt(110, 20) || m != Pt(60, 45) {
		t.Errorf("corners %v %v middle %v", a, b, m)
	}
}
