package plot

import "math"

// Verdict names what a value was judged to be. This package only draws it.
type Verdict string

// The four verdicts, and the disposition that has a plate of its own.
const (
	Accept     Verdict = "accept"
	Undecided  Verdict = "undecided"
	Reject     Verdict = "reject"
	Unmeasured Verdict = "unmeasured"
	Rework     Verdict = "rework"
)

// NoLimit marks a value that was measured and to which no limit applies.
const NoLimit Verdict = ""

// Direction says on which side of its limits a value lies.
type Direction int

// The directions.
const (
	NoDirection Direction = iota
	Over
	Under
)

// Mark is a verdict plate: shape, word and colour together, and for a value
// outside its limits the direction and the finished amount.
type Mark struct {
	Verdict Verdict
	Word    string
	Toward  Direction
	Amount  string
}

// MarkHeight is the height of a plate with its word.
const MarkHeight = 20.0

const markSign = 8.0 // radius of the sign in a plate

// Width returns how wide the plate is drawn.
func (m Mark) Width() float64 {
	w := 2*markSign + 5
	if m.Word != "" {
		w += 2 + Width(m.Word, SizeText, Bold)
	}
	if m.Toward != NoDirection {
		w += 12
	}
	if m.Amount != "" {
		w += 4 + Width(m.Amount, SizeText, Regular)
	}
	return w
}

// Draw draws the plate with its upper left corner at a point.
func (m Mark) Draw(c Canvas, at Point) {
	cy := at.Y + MarkHeight/2
	Sign(c, Pt(at.X+markSign+1, cy), markSign, m.Verdict)
	x := at.X + 2*markSign + 7
	ink := wordInk(m.Verdict)
	if m.Word != "" {
		c.Text(Pt(x, cy), Text{S: m.Word, Size: SizeText, Weight: Bold, Base: CapMiddle, Ink: ink})
		x += Width(m.Word, SizeText, Bold)
	}
	if m.Toward != NoDirection {
		x += 7
		turn := -90.0
		if m.Toward == Under {
			turn = 90
		}
		s := math.Copysign(1, turn)
		c.Line(Pt(x, cy-5*s), Pt(x, cy+3*s), Style{Stroke: ink, Line: Wide})
		arrowhead(c, Pt(x, cy+6*s), turn, 5, 3.2, ink)
		x += 5
	}
	if m.Amount != "" {
		c.Text(Pt(x+4, cy), Text{S: m.Amount, Size: SizeText, Base: CapMiddle, Ink: ink})
	}
}

// wordInk is the ink of a verdict's word on the sheet. Amber cannot carry
// text on paper, so an undecided word is in the pen's ink.
func wordInk(v Verdict) Ink {
	switch v {
	case Accept:
		return InkIn
	case Reject, Rework:
		return InkOut
	case Undecided:
		return InkPen
	case NoLimit:
		return InkThin
	}
	return InkUnmeasured
}

// Sign draws a verdict's shape about a centre. Below a radius of 6 only
// the cross is drawn inside, below 4.4 the shape speaks alone. Where no limit
// applies it is a small dot: something was measured, and nothing is said of it.
func Sign(c Canvas, at Point, r float64, v Verdict) {
	glyph := r >= 6
	line := Wide
	switch v {
	case Accept:
		c.Circle(at, r, Style{Fill: InkIn})
		if glyph {
			c.Path(Polyline(at.Add(-0.48*r, 0.04*r), at.Add(-0.12*r, 0.42*r), at.Add(0.5*r, -0.38*r)), Style{Stroke: InkInOn, Line: signLine(r)})
		}
	case Undecided:
		h := r * 1.12
		tri := Polygon(at.Add(0, -h), at.Add(h*1.02, h*0.82), at.Add(-h*1.02, h*0.82))
		if !glyph {
			line = Narrow
		}
		c.Path(tri, Style{Fill: InkUndecided, Stroke: InkUndecidedEdge, Line: line})
		if glyph {
			c.Path(Polygon(at.Add(-0.14*r, -0.5*r), at.Add(0.14*r, -0.5*r), at.Add(0.09*r, 0.25*r), at.Add(-0.09*r, 0.25*r)), Style{Fill: InkUndecidedOn})
			c.Circle(at.Add(0, 0.56*r), 0.14*r, Style{Fill: InkUndecidedOn})
		}
	case Reject:
		c.Path(octagon(at, r), Style{Fill: InkOut})
		k := 0.42 * r
		if r >= 4.4 { // without its cross a small octagon would pass for a disc
			c.Path(Polyline(at.Add(-k, -k), at.Add(k, k)).Append(Polyline(at.Add(-k, k), at.Add(k, -k))), Style{Stroke: InkOutOn, Line: signLine(r)})
		}
	case Rework:
		c.Path(octagon(at, r-0.8), Style{Fill: InkGround, Stroke: InkOut, Line: signLine(r)})
		if glyph { // a tool's step: from the rough line down to the finished one
			c.Path(Polyline(at.Add(-0.5*r, -0.22*r), at.Add(0, -0.22*r), at.Add(0, 0.22*r), at.Add(0.5*r, 0.22*r)), Style{Stroke: InkOut, Line: Wide})
		}
	case NoLimit:
		dot := min(3.2, 0.6*r)
		c.Circle(at, dot+1.2, Style{Fill: InkGround})
		c.Circle(at, dot, Style{Fill: InkThin})
	default:
		k := r * 0.86
		c.Rect(at.X-k, at.Y-k, 2*k, 2*k, Style{Fill: InkGround, Stroke: InkUnmeasured, Line: SignDash})
		if glyph {
			c.Text(at, Text{S: "?", Size: r * 1.5, Weight: Bold, Anchor: Middle, Base: CapMiddle, Ink: InkUnmeasured})
		}
	}
}

func signLine(r float64) Line {
	if r >= 7 {
		return Heavy
	}
	return Wide
}

func octagon(at Point, r float64) *Path {
	var pts []Point
	for i := range 8 {
		pts = append(pts, onCircle(at, r*1.04, 22.5+45*float64(i)))
	}
	return Polygon(pts...)
}
