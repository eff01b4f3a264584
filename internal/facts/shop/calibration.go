package shop

import (
	"encoding/hex"
	"math"
	"sort"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
)

// CalibratedV1 is a calibration; it holds from its date until the next one.
type CalibratedV1 struct {
	Gauge       string `json:"gauge"`
	Date        int64  `json:"date"`          // µs since 1970 UTC
	Due         int64  `json:"due,omitempty"` // µs since 1970 UTC
	Bias        string `json:"bias"`          // indication less true, decimal
	Unit        string `json:"unit"`
	Expanded    string `json:"expanded"` // expanded uncertainty of the bias, same unit
	Coverage    string `json:"coverage"` // coverage factor k
	Certificate string `json:"certificate,omitempty"`
}

// PointV2 is one point of a bias curve.
type PointV2 struct {
	At       string `json:"at"`       // what the gauge shows there, decimal in AtUnit
	Bias     string `json:"bias"`     // as in CalibratedV1, in its Unit
	Expanded string `json:"expanded"` // with the coverage factor of the calibration
}

// CalibratedV2 is a calibration with a curve. Bias and Expanded of the first
// form stand for the whole range: for whoever reads no curve, and for a gauge
// that is set on a master, whose travel nobody wrote down.
type CalibratedV2 struct {
	CalibratedV1
	AtUnit string    `json:"at_unit,omitempty"`
	Points []PointV2 `json:"points,omitempty"`
	File   string    `json:"file,omitempty"` // SHA-256 of the certificate's file
}

// Point is one point of a bias curve in exact quantities.
type Point struct{ At, Bias, Expanded unit.Quantity }

// Calibration is a calibration in exact quantities.
type Calibration struct {
	CalibratedV1
	BiasQ, ExpandedQ unit.Quantity
	K                float64
	Points           []Point // by rising At; none where one number holds everywhere
	File             string  // SHA-256 of the certificate's file
	Key              string  // of its entry
	Seq              int64   // of its entry
	Void             *Void   // nil while it counts
}

// At returns the calibration in force at a time, µs; ok is false before the
// first one.
func (g *Gauge) At(time int64) (c Calibration, ok bool) {
	for _, k := range g.Calibrations {
		if k.Date <= time && k.Void == nil {
			c, ok = k, true
		}
	}
	return c, ok
}

// Overdue reports whether a day of use lies past the day for which the next
// calibration was set; that day itself does not.
func (c *Calibration) Overdue(time int64) bool { return c.Due != 0 && Day(time) > Day(c.Due) }

// Range is the first and the last size at which the gauge was calibrated, as
// written; "" where one number holds everywhere.
func (c *Calibration) Range() (from, to string) {
	if len(c.Points) == 0 {
		return "", ""
	}
	return c.Points[0].At.String(), c.Points[len(c.Points)-1].At.String()
}

// far is how far a reading may lie outside the points before the curve says
// nothing about it: a tenth of the range, or of the size where there is one
// point. Source: common practice, no source.
const far = 0.1

// BiasAt is the bias at what the gauge shows, and the expanded uncertainty of
// that bias with the calibration's coverage factor: linear between the points,
// the value of the end point outside them. beyond says that x lies farther
// outside than the curve can answer for.
//
//	b(x) = b_i + (b_{i+1} − b_i)·(x − x_i)/(x_{i+1} − x_i),  U likewise
//
// Shapes: scalar -> two scalars.
// Units:  formula unit of the gauge's quantity, all three.
// Errors: none.
// Valid:  between the points; a curve bends between them by what nobody has
// measured, which the uncertainty does not hold.
// Source: interpolation is common practice, no source.
func (c *Calibration) BiasAt(x float64) (bias, expanded float64, beyond bool) {
	n := len(c.Points)
	if n == 0 {
		return c.BiasQ.SI(), c.ExpandedQ.SI(), false
	}
	first, last := &c.Points[0], &c.Points[n-1]
	lo, hi := first.At.SI(), last.At.SI()
	reach := far * (hi - lo)
	if n == 1 {
		reach = far * math.Abs(lo)
	}
	beyond = x < lo-reach || x > hi+reach
	switch {
	case x <= lo:
		return first.Bias.SI(), first.Expanded.SI(), beyond
	case x >= hi:
		return last.Bias.SI(), last.Expanded.SI(), beyond
	}
	i := sort.Search(n, func(i int) bool { return c.Points[i].At.SI() > x })
	p, q := &c.Points[i-1], &c.Points[i]
	t := (x - p.At.SI()) / (q.At.SI() - p.At.SI())
	between := func(a, b unit.Quantity) float64 { return a.SI() + (b.SI()-a.SI())*t }
	return between(p.Bias, q.Bias), between(p.Expanded, q.Expanded), false
}

// Widest is the largest expanded uncertainty of the curve, formula unit.
func (c *Calibration) Widest() float64 {
	u := 0.0
	for i := range c.Points {
		u = math.Max(u, c.Points[i].Expanded.SI())
	}
	if len(c.Points) == 0 {
		u = c.ExpandedQ.SI()
	}
	return u
}

// mostPoints bounds a curve.
const mostPoints = 1000

func (s *State) calibrate(r *entry.Row) bool {
	var p CalibratedV2
	if r.Version == 1 && !decode(r.Payload, &p.CalibratedV1) || r.Version == 2 && !decode(r.Payload, &p) {
		return false
	}
	g := s.Gauges[p.Gauge]
	bias, err1 := unit.Parse(p.Bias, p.Unit, '.')
	expanded, err2 := unit.Parse(p.Expanded, p.Unit, '.')
	k, err3 := unit.Parse(p.Coverage, "1", '.')
	if g == nil || err1 != nil || err2 != nil || err3 != nil || bias.Dim != expanded.Dim || k.N <= 0 || expanded.N < 0 {
		return false
	}
	points, ok := curve(&p, bias.Dim)
	if !ok || p.File != "" && !digest(p.File) {
		return false
	}
	g.Calibrations = append(g.Calibrations, Calibration{CalibratedV1: p.CalibratedV1, BiasQ: bias, ExpandedQ: expanded, K: k.SI(),
		Points: points, File: p.File, Key: r.Key.String(), Seq: r.Seq})
	sort.SliceStable(g.Calibrations, func(i, j int) bool { return g.Calibrations[i].Date < g.Calibrations[j].Date })
	return true
}

// curve reads the points of a calibration; no two of them may stand at one
// size.
func curve(p *CalibratedV2, dim unit.Dim) ([]Point, bool) {
	if len(p.Points) > mostPoints {
		return nil, false
	}
	var out []Point
	for _, v := range p.Points {
		at, err1 := unit.Parse(v.At, p.AtUnit, '.')
		bias, err2 := unit.Parse(v.Bias, p.Unit, '.')
		expanded, err3 := unit.Parse(v.Expanded, p.Unit, '.')
		if err1 != nil || err2 != nil || err3 != nil || at.Dim != dim || bias.Dim != dim || expanded.Dim != dim || expanded.N < 0 {
			return nil, false
		}
		out = append(out, Point{at, bias, expanded})
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].At.N < out[j].At.N })
	for i := 1; i < len(out); i++ {
		if out[i].At.N == out[i-1].At.N {
			return nil, false
		}
	}
	return out, true
}

// digest says whether a text is a SHA-256 in small hexadecimal digits.
func digest(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == 32 && hex.EncodeToString(b) == s
}
