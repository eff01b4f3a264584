package plot

import "math"

// LimitBar is a value drawn against its limits: a thin scale between them,
// the nominal as a tick, guard bands hatched inside, the value as a mark of
// its verdict's shape with its expanded uncertainty as a whisker. Limits
// stand at the same two places in every bar of one width, so a column of
// bars can be read downward.
//
// Units: Min, Max, Nominal, Value, U, Guard and Open are all in the one unit
// the labels speak of. A nil limit is an open end; a nil Value an empty bar.
type LimitBar struct {
	Min, Max, Nominal *float64
	Value             *float64
	U                 float64 // expanded uncertainty: the whisker is Value ± U
	Guard             float64 // width of the guard band inside each limit
	Repeats           []float64
	Verdict           Verdict
	// Open says, for a bar with one limit, what lies at the place of the
	// other, as a distance from the limit. Zero: see reach.
	Open   float64
	Labels BarLabels
}

// BarLabels are the finished texts of a large bar. Empty ones are left out.
type BarLabels struct {
	Min, Max, Nominal string
	Value, Doubt      string // "83.021 mm", "± 0.004 mm"
	Amount            string // "0.006 mm over", for a value outside
	Guard             string // "guard band 3.8 µm"
	Title             string // the whole bar in words, for readers that do not see
}

// The sizes of a bar. A row is one line of a table.
const (
	RowHeight   = 18.0
	RowWidth    = 144.0
	LargeHeight = 92.0
	LargeWidth  = 480.0
)

// barScale places values on a bar: limit places lo and hi, window from left
// to right.
type barScale struct {
	left, right float64
	x0, x1      float64 // where v0 and v1 stand
	v0, v1      float64
}

// scale lays a bar out in the span x to x+w.
func (b LimitBar) scale(x, w float64) barScale {
	s := barScale{left: x + 6, right: x + w - 6, x0: x + 0.19*w, x1: x + 0.81*w}
	s.v0, s.v1 = b.span()
	return s
}

// span returns the values at the two limit places; v0 < v1 always.
func (b LimitBar) span() (v0, v1 float64) {
	switch {
	case b.Min != nil && b.Max != nil && *b.Min < *b.Max:
		return *b.Min, *b.Max
	case b.Min != nil && b.Max != nil: // no width between the limits
		r := b.reach(*b.Min, 0)
		return *b.Min - r, *b.Min + r
	case b.Max != nil:
		return *b.Max - b.reach(*b.Max, *b.Max), *b.Max
	case b.Min != nil:
		return *b.Min, *b.Min + b.reach(*b.Min, math.Abs(*b.Min)/4)
	case b.Nominal != nil:
		r := b.reach(*b.Nominal, 0)
		return *b.Nominal - r, *b.Nominal + r
	case b.Value != nil:
		r := b.reach(*b.Value, 0)
		return *b.Value - r, *b.Value + r
	}
	return 0, 1
}

// reach is how far an open end lies from its limit: Open when given, twice
// the way to the nominal, else usual when that is positive (a greatest value
// allowed is drawn from zero), else ten times the expanded uncertainty.
func (b LimitBar) reach(limit, usual float64) float64 {
	toNominal := 0.0
	if b.Nominal != nil {
		toNominal = 2 * math.Abs(*b.Nominal-limit)
	}
	for _, r := range []float64{b.Open, toNominal, usual, 10 * b.U, math.Abs(limit) / 1000} {
		if r > 1e-9*math.Abs(limit) { // less could not be told from the limit
			return r
		}
	}
	return 1
}

// at returns the place of a value, unclamped.
func (s barScale) at(v float64) float64 {
	return s.x0 + (v-s.v0)/(s.v1-s.v0)*(s.x1-s.x0)
}

// inside returns the place of a value drawn within the window, and −1 or 1
// when it lies beyond its left or right end.
func (s barScale) inside(v float64) (x float64, beyond int) {
	x = s.at(v)
	switch {
	case x < s.left:
		return s.left, -1
	case x > s.right:
		return s.right, 1
	}
	return x, 0
}

// guards returns the hatched stretches; bands that would meet or pass the
// other limit are one band from limit to limit.
func (b LimitBar) guards(s barScale) [][2]float64 {
	if b.Guard <= 0 {
		return nil
	}
	var out [][2]float64
	if b.Min != nil {
		x, _ := s.inside(*b.Min + b.Guard)
		out = append(out, [2]float64{s.at(*b.Min), x})
	}
	if b.Max != nil {
		x, _ := s.inside(*b.Max - b.Guard)
		out = append(out, [2]float64{x, s.at(*b.Max)})
	}
	if len(out) == 2 && out[0][1] > out[1][0] { // the bands meet
		return [][2]float64{{out[0][0], out[1][1]}}
	}
	return out
}
