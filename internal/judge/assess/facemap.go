package assess

import (
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/judge/rule"
	"fettle/internal/maths/form"
	"fettle/internal/maths/gum"
)

// FaceMap is the shape of a measured face about its minimum-zone plane, and what
// it takes to make it flat.
type FaceMap struct {
	Flatness *Value
	Points   []FacePoint
	Levels   []FaceLevel // rising
	Step     string      // between levels, decimal in Unit
	Unit     string      // of deviations and levels: µm
	High     int         // into Points
	Low      int
	Cut      FaceCut
}

// FacePoint is one place of a face.
type FacePoint struct {
	Position, State string
	X, Y            float64 // m
	Height          float64 // about the middle plane, along its normal, m
	Text            string  // Height, signed decimal in Unit
}

// FaceLevel are the lines of one height.
type FaceLevel struct {
	Height float64 // m
	Text   string  // signed decimal in Unit
	Lines  []form.Polyline
}

// FaceCut is the least cut that cleans a face up, parallel to its minimum-zone
// planes.
type FaceCut struct {
	Depth, Expanded, K string // Depth in Unit, Expanded in UUnit
	Unit, UUnit        string
	Tied               bool // a small change of the readings may choose another tilt
	// Left is what stays above the least height of the part behind that cut, ""
	// where the family gives none; From is the value it starts from.
	Left, LeftExpanded, LeftK string
	LeftVerdict               Verdict
	From                      *Value
}

// A picture of a face.
const (
	faceUnit  = "µm"
	faceCells = 56 // along the longer side
	faceLines = 8  // about so many levels
)

// FaceMap works out the map of a flatness value; ok is false for any other value
// and where no surface passes through the readings.
//
//	hᵢ = (zᵢ − A − B xᵢ − C yᵢ)·n_z about the minimum-zone plane
//	depth = w,   left = h_left − depth,   u²(left) = u²(h_left) + u²(w) − 2 Σ pᵢ u(h_left, zᵢ),   p = ∂depth/∂z
//
// The flatness w and its doubt hold already that one dial's error, which all
// readings have, is not in the depth.
//
// Shapes: value of n ≥ 4 heights -> map.
// Units:  places in m.
// Errors: none.
// Valid:  what is left counts the whole depth off the least height, wherever the
// two lie; it errs on the safe side.
// Source: ISO 12781-1:2011 for the planes; JCGM 100:2008, 5.2.2.
func (a *Assessment) FaceMap(v *Value) (m FaceMap, ok bool) {
	if !v.Has || a.e == nil || v.Place.Char.Relation != "flatness" {
		return m, false
	}
	e := a.e
	_, args, _ := e.g.Because(v.node)
	pts := make([]form.Point3, len(args[0]))
	for i := range pts {
		pts[i] = form.Point3{X: e.g.Value(args[1][i]), Y: e.g.Value(args[2][i]), Z: e.g.Value(args[0][i])}
	}
	plane, _, err := form.MinimumZonePlane(pts)
	if err != nil {
		return m, false
	}
	m = FaceMap{Flatness: v, Unit: faceUnit}
	why, rise := e.because(v.node, v.Place, v.State), 1/math.Sqrt(1+plane.B*plane.B+plane.C*plane.C)
	for i, q := range pts {
		h := (q.Z - plane.At(q.X, q.Y)) * rise
		in := &why.Inputs[i] // heights come first
		m.Points = append(m.Points, FacePoint{Position: in.Position, State: in.State, X: q.X, Y: q.Y, Height: h, Text: signed(h, 1)})
		pts[i].Z = h
	}
	if !m.lines(pts) || !a.cut(&m, args[0], pts) {
		return FaceMap{}, false
	}
	return m, true
}

// signed is a height in faceUnit with its sign.
func signed(h float64, decimals int) string {
	s := unit.Format(h, faceUnit, decimals)
	if x, err := strconv.ParseFloat(s, 64); err == nil && x > 0 {
		return "+" + s
	}
	return s
}

// lines draws the lines of equal height.
func (m *FaceMap) lines(pts []form.Point3) bool {
	s, err := form.NewSurface(pts)
	if err != nil {
		return false
	}
	step := round125((s.Most - s.Least) / faceLines)
	if !(step > 0) {
		return true // a face without relief
	}
	levels, err := form.Levels(s.Least, s.Most, step)
	if err != nil {
		return false
	}
	found, err := s.Contours(levels, faceCells)
	if err != nil {
		return false
	}
	decimals := max(0, int(math.Ceil(-math.Log10(unit.FromSI(step, faceUnit))-1e-9)))
	m.Step = unit.Format(step, faceUnit, decimals)
	for _, c := range found {
		if len(c.Lines) > 0 {
			m.Levels = append(m.Levels, FaceLevel{Height: c.Level, Text: signed(c.Level, decimals), Lines: c.Lines})
		}
	}
	return true
}

// round125 is the least of 1, 2 or 5 times a power of ten that is not below x.
func round125(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, f := range []float64{1, 2, 5} {
		if f*power >= x*(1-1e-9) {
			return f * power
		}
	}
	return 10 * power
}

// cut works out the least cut with its doubt, and what it leaves.
func (a *Assessment) cut(m *FaceMap, heights []gum.ID, pts []form.Point3) bool {
	e := a.e
	c, err := form.CutMinimumZone(pts)
	if err != nil {
		return false
	}
	m.High, m.Low = c.High, c.Low
	v := m.Flatness
	p := c.RemovalPartials(c.High)
	variance := v.SU * v.SU // the depth is the flatness
	m.Cut = FaceCut{Unit: v.Unit, UUnit: v.UUnit, Tied: c.Tied, K: v.K, Expanded: v.Expanded,
		Depth: unit.Format(c.Depth, v.Unit, v.Place.Char.Decimals+1)}
	left, ok := a.heightLeft(v)
	if !ok {
		return true
	}
	for i, x := range heights {
		variance -= 2 * p[i] * e.g.Covariance(left.node, x)
	}
	variance += left.SU * left.SU
	rest, nothing := left.SI-c.Depth, 0.0
	u, dof := math.Sqrt(math.Max(0, variance)), math.Min(e.g.Dof(v.node), e.g.Dof(left.node))
	k := rule.Coverage(dof)
	m.Cut.From, m.Cut.LeftK = left, strconv.FormatFloat(k, 'f', 2, 64)
	m.Cut.Left, m.Cut.LeftExpanded = unit.Format(rest, left.Unit, left.Place.Char.Decimals+1), doubt(k*u, left.UUnit)
	m.Cut.LeftVerdict = e.by.Verdict(rest, u, dof, &nothing, nil)
	return true
}

// heightLeft is what the part of a flatness has above its least height in the
// latest state up to that of the flatness.
func (a *Assessment) heightLeft(v *Value) (*Value, bool) {
	e, st := a.e, 0
	for i, s := range e.states {
		if s == v.State {
			st = i
		}
	}
	for at := range e.Layout.Places {
		p := &e.Layout.Places[at]
		if p.Char.Relation != "height-left" || p.Part != v.Place.Part {
			continue
		}
		k, ok := e.stateOf(at, st)
		if !ok {
			return nil, false
		}
		return a.Find(p.ID, e.states[k])
	}
	return nil, false
}
