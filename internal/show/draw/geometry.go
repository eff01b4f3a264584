package draw

import (
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/know/family"
)

// geometry is the engine in millimetres, as drawings need it. Figures that a
// file leaves out are filled in proportion to the bore, for the drawing only.
type geometry struct {
	bore, stroke, rod, crown, deck float64
	spacing, face, depth           float64
	main, pin                      float64
	inlet, exhaust, stem, valve    float64
	lift                           float64
	n, rows                        int
	banks                          [][]int
	names                          []string
	stagger                        float64 // of the second bank along the crank
	pitch                          float64 // from crankpin to crankpin
	pins, mains                    int
}

func measure(l *family.Layout) geometry {
	e := &l.Family.Engine
	b := mm(e.Bore, 80)
	g := geometry{bore: b, stroke: mm(e.Stroke, b), rod: mm(e.Rod, 1.7*b), crown: mm(e.CompressionHeight, 0.38*b),
		spacing: mm(e.BoreSpacing, 1.1*b), face: mm(e.FaceWidth, 2*b), depth: mm(e.BoreDepth, 1.6*b),
		main: mm(e.MainJournal, 0.68*b), pin: mm(e.PinJournal, 0.57*b),
		stem: mm(e.Valves.Stem, 0.07*b), valve: mm(e.Valves.Length, 1.25*b), lift: mm(e.Valves.Lift, 0.11*b),
		n: e.Cylinders, banks: e.BankList(), names: e.BankNames(), pins: e.Pins(), mains: e.Mains}
	g.deck = mm(e.DeckHeight, g.stroke/2+g.rod+g.crown)
	many := float64(e.Valves.Inlet + e.Valves.Exhaust)
	g.inlet = mm(e.Valves.InletHead, b*(0.6-0.05*many))
	g.exhaust = mm(e.Valves.ExhaustHead, b*(0.52-0.045*many))
	g.face = max(g.face, g.bore*1.3)
	for _, bank := range g.banks {
		g.rows = max(g.rows, len(bank))
	}
	g.pitch = g.spacing
	if len(g.banks) == 2 {
		g.stagger = 0.24 * g.spacing
		if !e.SharedPins {
			g.stagger, g.pitch = g.spacing/2, g.spacing/2
		}
	}
	return g
}

// mm returns a length in millimetres, or what stands in for one not given.
func mm(q unit.Quantity, or float64) float64 {
	if q.Dim != unit.Length || q.N <= 0 {
		return or
	}
	return q.SI() * 1000
}

// figure is a length as a drawing writes it: millimetres without the unit, as
// typed in the file where it was typed in millimetres.
func (s *sheet) figure(q unit.Quantity) string {
	if q.Dim != unit.Length || q.N <= 0 {
		return ""
	}
	text := q.Text
	if q.Unit != "mm" {
		text = strconv.FormatFloat(q.SI()*1000, 'f', -1, 64)
	}
	return s.own(text)
}

// own writes a figure the reader's way.
func (s *sheet) own(text string) string {
	if s.opt.Figure != nil {
		return s.opt.Figure(text)
	}
	return text
}

// stations returns where mains and pins lie along the crank, in millimetres
// from the first pin: pins evenly, mains in the gaps between and beside them;
// where there are fewer mains than gaps they are spread, where there are more
// the pins move apart.
func (g geometry) stations() (mains, pins []float64) {
	gaps := make([]int, g.pins+1)
	for i := range g.mains {
		k := 0
		if g.mains > 1 {
			k = int(math.Round(float64(i) * float64(g.pins) / float64(g.mains-1)))
		}
		gaps[k]++
	}
	x := 0.0
	for j, n := range gaps {
		for i := range n {
			mains = append(mains, x-g.pitch/2+float64(i)*g.pitch)
		}
		x += float64(max(0, n-1)) * g.pitch
		if j < g.pins {
			pins = append(pins, x)
			x += g.pitch
		}
	}
	return mains, pins
}

// throws returns the angle of each crankpin from upright, clockwise in
// degrees seen from the free end, for even firing over two turns in the order
// of the file. Without an order the pins are spread evenly, halves mirrored
// where their number is even. It is a drawing, not a balance sheet.
func (g geometry) throws(e *family.Engine) []float64 {
	out := make([]float64, g.pins)
	if len(e.FiringOrder) == g.n {
		lean := bankLean(e, len(g.banks))
		for k := len(e.FiringOrder) - 1; k >= 0; k-- {
			c := e.FiringOrder[k]
			at := -720*float64(k)/float64(g.n) + lean[bankOf(g.banks, c)]
			if p := e.PinOf(c) - 1; p >= 0 && p < len(out) {
				out[p] = turn(at)
			}
		}
		first := out[0]
		for i := range out { // the first pin upright
			out[i] = turn(out[i] - first)
		}
		return out
	}
	for i := range out {
		switch {
		case g.pins == 2 && len(g.banks) == 2, g.pins%2 == 1:
			out[i] = turn(720 * float64(i) / float64(g.pins))
		default:
			out[i] = turn(720 * float64(min(i, g.pins-1-i)) / float64(g.pins))
			if g.pins == 4 {
				out[i] = turn(180 * float64((i+1)/2%2))
			}
			if len(g.banks) == 2 && g.pins == g.n {
				out[i] = turn(180*float64(i%2) + 720/float64(g.pins)*float64(min(i/2, (g.pins-1-i)/2)))
			}
		}
	}
	return out
}

func turn(a float64) float64 { return math.Mod(math.Mod(a, 360)+360, 360) }

// bankLean is how far each bank leans from upright, in degrees.
func bankLean(e *family.Engine, banks int) []float64 {
	if banks < 2 {
		return []float64{0}
	}
	half := 45.0
	switch {
	case e.Layout == "flat":
		half = 90
	case e.BankAngle.Dim == unit.Angle && e.BankAngle.N > 0:
		half = e.BankAngle.SI() * 90 / math.Pi
	}
	half = max(5, min(half, 90))
	return []float64{-half, half}
}

func bankOf(banks [][]int, cyl int) int {
	for b, bank := range banks {
		for _, c := range bank {
			if c == cyl {
				return b
			}
		}
	}
	return 0
}
