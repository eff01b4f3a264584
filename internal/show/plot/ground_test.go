package plot

import (
	"math"
	"strings"
	"testing"
)

// Law: over a plane a line of equal height is straight and lies where the plane
// has that height; ground that is not known carries no line.
func TestTerrainCutsAPlane(t *testing.T) {
	g := Terrain{X: Axis{Min: 0, Max: 4}, Y: Axis{Min: 0, Max: 3}, Xs: []float64{0, 1, 2, 3, 4}, Ys: []float64{0, 1, 2, 3}}
	for _, y := range g.Ys {
		var row []float64
		for _, x := range g.Xs {
			row = append(row, 2*x+3*y)
		}
		g.Heights = append(g.Heights, row)
	}
	f := Frame{Left: 0, Top: 0, Right: 400, Bottom: 300, X: g.X, Y: g.Y}
	length := 0.0
	for j := range 3 {
		for i := range 4 {
			for _, s := range g.cut(f, i, j, 6) {
				for _, p := range s {
					if x, y := p.X/100, (300-p.Y)/100; math.Abs(2*x+3*y-6) > 1e-9 {
						t.Errorf("height 6 at %v %v is %v", x, y, 2*x+3*y)
					}
				}
				length += math.Hypot(s[0].X-s[1].X, s[0].Y-s[1].Y)
			}
		}
	}
	if want := 100 * math.Hypot(3, 2); math.Abs(length-want) > 1e-9 { // from (3, 0) to (0, 2)
		t.Errorf("the line is %v long, want %v", length, want)
	}
	g.Heights[1][1] = math.NaN()
	if got := len(g.cut(f, 0, 0, 2)) + len(g.cut(f, 1, 1, 6)) + len(g.below(f, 0, 0, 100)); got != 0 {
		t.Errorf("%d pieces over ground that is not known", got)
	}
}

// Law: what lies below a height of a plane has the area that geometry gives.
func TestTerrainBelow(t *testing.T) {
	g := Terrain{Xs: []float64{0, 1}, Ys: []float64{0, 1}, Heights: [][]float64{{0, 1}, {1, 2}}}
	f := Frame{Left: 0, Top: 0, Right: 100, Bottom: 100, X: Axis{Min: 0, Max: 1}, Y: Axis{Min: 0, Max: 1}}
	for level, want := range map[float64]float64{0.5: 0.125, 1: 0.5, 1.5: 0.875, 3: 1} {
		pts, sum := g.below(f, 0, 0, level), 0.0
		for i, p := range pts {
			q := pts[(i+1)%len(pts)]
			sum += (p.X*q.Y - q.X*p.Y) / 2
		}
		if got := math.Abs(sum) / 1e4; math.Abs(got-want) > 1e-9 {
			t.Errorf("below %v: %v of the cell, want %v", level, got, want)
		}
	}
}

// Law: a saddle joins the ends that its middle says belong together.
func TestTerrainSaddle(t *testing.T) {
	g := Terrain{Xs: []float64{0, 1}, Ys: []float64{0, 1}, Heights: [][]float64{{1, 0}, {0, 1}}}
	f := Frame{Left: 0, Top: 0, Right: 1, Bottom: 1, X: Axis{Min: 0, Max: 1}, Y: Axis{Min: 0, Max: 1}}
	for _, level := range []float64{0.4, 0.6} {
		segs := g.cut(f, 0, 0, level)
		if len(segs) != 2 {
			t.Fatalf("%d pieces at %v", len(segs), level)
		}
		for _, s := range segs { // at 0.4 the high middle joins the high corners, so that the low ones are cut off
			x, y := (s[0].X+s[1].X)/2, 1-(s[0].Y+s[1].Y)/2
			if high := (x-0.5)*(y-0.5) > 0; high != (level > 0.5) {
				t.Errorf("at %v a piece about %v %v", level, x, y)
			}
		}
	}
}

// Law: a place goes to the right and upward by its share of Full.
func TestPolarPlaces(t *testing.T) {
	p := Polar{Full: 2, Rings: []Ring{{Radius: 1, Wall: true}}, Spots: []RoundSpot{{At: Pt(1, 0.5), Label: "here"}}}
	doc := Inline(300, 300, "", func(c Canvas) { p.Draw(c, Point{}, 300) })
	most := 150 - polarMargin
	spot := tags(doc, "circle")
	last := spot[len(spot)-1]
	if x, y := attrFloat(t, last, "cx"), attrFloat(t, last, "cy"); math.Abs(x-150-most/2) > 0.02 || math.Abs(y-150+most/4) > 0.02 {
		t.Errorf("at %v %v", x, y)
	}
	if r := attrFloat(t, spot[0], "r"); math.Abs(r-most/2) > 0.02 {
		t.Errorf("ring of %v, want %v", r, most/2)
	}
	if !strings.Contains(doc, ">here<") {
		t.Error("the label is gone")
	}
}
