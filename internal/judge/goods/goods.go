// Package goods judges what lies on the shelf: the size of every piece at 20 °C
// with its doubt, and whether it may be used.
package goods

import (
	"math"
	"slices"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/facts/shop"
	"fettle/internal/facts/stock"
	"fettle/internal/know/library"
)

// Standing is what may be done with a piece.
type Standing string

const (
	Unread  Standing = "unread"  // something that must be measured was not
	Refused Standing = "refused" // shown to be outside what was asked for, or seen to be bad
	Sound   Standing = "sound"   // may be used
	Gone    Standing = "gone"    // left the shelf for no job
)

// Size is a measure of a piece at 20 °C. Own is the standard uncertainty of its
// own, Bias that of its gauge, which all readings of the gauge share.
type Size struct {
	Measure   string
	Value     float64 // formula unit
	Own, Bias float64
	Gauge     string
	Reading   shop.Sized
}

// U is the standard uncertainty of a size, formula unit.
func (s Size) U() float64 { return math.Hypot(s.Own, s.Bias) }

// Expanded is the expanded uncertainty of a size, k = 2, formula unit.
func (s Size) Expanded() float64 { return two * s.U() }

// Piece is one piece of a lot.
type Piece struct {
	Lot      *shop.Lot
	N        int
	Standing Standing
	Sizes    []Size
	Lacks    []string // measures still to be taken
	Off      []string // measures outside what was asked for
}

// Size finds a measure of a piece.
func (p *Piece) Size(measure string) (Size, bool) {
	for _, s := range p.Sizes {
		if s.Measure == measure {
			return s, true
		}
	}
	return Size{}, false
}

// Needs lists the measures that a piece of a lot must have: those of its kind
// and those that its criteria ask for.
func Needs(l *shop.LotV1) []string {
	k, _ := stock.KindOf(l.Sort.Kind)
	out := slices.Clone(k.Needs)
	for _, c := range l.Accept {
		if !slices.Contains(out, c.Measure) {
			out = append(out, c.Measure)
		}
	}
	return out
}

// two is the coverage factor of an expanded uncertainty.
const two = 2

// Judge judges one piece of a lot. A piece is refused only where it is shown to
// be outside: beyond a limit by more than its expanded uncertainty, k = 2. What
// is inside the band is used with the size that was measured, doubt and all.
//
//	y < a − 2u  or  y > b + 2u
//
// Shapes: lot, piece -> piece with its sizes.
// Units:  formula units.
// Errors: none.
// Source: proof of nonconformity after ISO 14253-1:2017, clause 5.3; from memory.
func Judge(sh *shop.State, lib *library.Library, l *shop.Lot, n int) Piece {
	p := Piece{Lot: l, N: n, Standing: Sound}
	for _, m := range Needs(&l.LotV1) {
		z, ok := l.Size(n, m)
		if !ok {
			p.Lacks = append(p.Lacks, m)
			continue
		}
		if m == stock.Seen {
			p.Sizes = append(p.Sizes, Size{Measure: m, Reading: z})
			if z.Value != "pass" {
				p.Off = append(p.Off, m)
			}
			continue
		}
		s := sized(sh, lib, l, z)
		p.Sizes = append(p.Sizes, s)
		for _, c := range l.Accept {
			low, high, _ := c.Limits()
			if c.Measure == m && (low != nil && s.Value < low.SI()-two*s.U() || high != nil && s.Value > high.SI()+two*s.U()) {
				p.Off = append(p.Off, m)
			}
		}
	}
	_, left := l.Left[n]
	switch {
	case left:
		p.Standing = Gone
	case len(p.Off) > 0:
		p.Standing = Refused
	case len(p.Lacks) > 0:
		p.Standing = Unread
	}
	return p
}

// Doubts of a temperature, standard uncertainty: of one that was taken, and of
// one that nobody took and that lies within ±3 K of 20 °C. Source: common
// practice, no source.
const (
	taken   = 0.25
	guessed = 3 / 1.7320508075688772
)

// sized brings a reading to 20 °C and gives it its doubt.
//
//	y = (x − b)·(1 − (α_part − α_gauge)·(t − 20 °C)),
//	u² = s² + step²/12 + (x·Δα·u(t))²,  u_bias² = (U/k)² + u_type²
//
// What a comparator was set on adds its own bias and the doubt of setting it.
func sized(sh *shop.State, lib *library.Library, l *shop.Lot, z shop.Sized) Size {
	out := Size{Measure: z.Measure, Value: z.Quantity.SI(), Gauge: z.Gauge, Reading: z}
	step := z.Quantity.Resolution()
	var alpha float64
	if g := sh.Gauges[z.Gauge]; g != nil {
		kind := lib.Instruments[g.Type]
		repeat, stays, _ := kind.Rest()
		step = math.Max(step, kind.Resolution.SI())
		bias, u := of(g, z, stays)
		out.Value -= bias
		if rel := kind.Relative.SI(); rel > 0 {
			u = math.Hypot(u, rel*out.Value)
		}
		out.Own, out.Bias, alpha = repeat, u, lib.Materials[kind.Material].Expansion.SI()
		if kind.Set == "master" {
			out.Own = math.Hypot(out.Own, kind.SetRepeat.SI())
			id := z.Master
			if id == "" {
				id = g.Master
			}
			if m := sh.Gauges[id]; m != nil {
				_, rest, _ := lib.Instruments[m.Type].Rest()
				b, um := of(m, z, rest)
				out.Value -= b
				out.Bias = math.Hypot(out.Bias, um)
				alpha = lib.Materials[lib.Instruments[m.Type].Material].Expansion.SI()
			}
		}
	}
	out.Own = math.Hypot(out.Own, step/math.Sqrt(12))
	if z.Quantity.Dim != unit.Length {
		return out
	}
	part := material(lib, l)
	t, ut := 20.0, guessed
	if v, err := strconv.ParseFloat(z.PartTemp, 64); err == nil {
		t, ut = v, taken
	}
	if part > 0 && alpha > 0 {
		out.Own = math.Hypot(out.Own, out.Value*(part-alpha)*ut)
		out.Value *= 1 - (part-alpha)*(t-20)
	}
	return out
}

// of is the bias of a gauge when a piece was measured, and its doubt.
func of(g *shop.Gauge, z shop.Sized, stays float64) (bias, u float64) {
	c, ok := g.At(z.Time)
	if !ok || c.BiasQ.Dim != z.Quantity.Dim {
		return 0, stays
	}
	b, expanded, _ := c.BiasAt(z.Quantity.SI())
	return b, math.Hypot(expanded/c.K, stays)
}

// material is the expansion of what a part is made of, where its family says.
func material(lib *library.Library, l *shop.Lot) float64 {
	k, _ := stock.KindOf(l.Sort.Kind)
	f := lib.Families[l.Sort.Family]
	if f == nil {
		return 0
	}
	c := f.Component(k.Goes)
	if c == nil {
		return 0
	}
	return lib.Materials[c.Material].Expansion.SI()
}
