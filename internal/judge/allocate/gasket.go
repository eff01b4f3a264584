package allocate

import (
	"errors"
	"math"
	"slices"

	"fettle/internal/base/fault"
)

// Chamber is a cylinder with what was measured of it. Volumes are in whole
// thousandths of a cubic millimetre.
type Chamber struct {
	ID     string
	Volume Size // of the chamber in the head, plugs and valves in
	Deck   Size // piston below the deck at top dead centre; above it is negative
}

// Gasket is one of the menu.
type Gasket struct {
	ID    string
	Thick Size // compressed
}

// Head is what all cylinders have in common. Lengths are in nanometres, volumes in
// thousandths of a cubic millimetre.
type Head struct {
	Bore, Stroke, Hole int64   // Hole is the bore of the gasket
	Crown, Crevice     int64   // volume of the crown, a dome negative; of the crevices
	Cut                int64   // taken off head and deck together since the gasket below
	Was                int64   // thickness with which timing and valves were right
	Wheel              int64   // pitch radius of the cam wheel, nought where the drive is no matter
	Slope              float64 // of the taut run against the cylinder, in radians
	Valves             []Reach
}

// Reach is the least distance of a valve from its piston, at the worst end stop of
// its phaser, with the gasket that was.
type Reach struct {
	ID        string
	Distance  Size
	Least     int64
	AlongAxis float64 // cosine of the valve's angle to the cylinder
}

// MenuRules say what a gasket has to keep.
type MenuRules struct {
	Target    float64  // compression ratio wanted
	Low, High *float64 // of the ratio
	Squish    Limits   // piston to head
	Retard    *float64 // most change of cam timing either way, crank, in radians
	Guard     float64
}

// MenuChoice is one gasket with what it gives.
type MenuChoice struct {
	ID            string
	Ratio, RatioU []float64 // of each cylinder
	Squish        []int64
	SquishU       []float64
	Drop          int64    // by which the cam has come down
	Retard        float64  // crank, in radians; negative is advance
	Reach         []int64  // of each valve
	Chance        float64  // least chance that all limits hold
	Broken        []string // "ratio", "squish", "retard", "valve"; none where it serves
	Off           float64  // largest deviation of the ratio from what is wanted
}

// MenuPlan ranks the menu: first what keeps all limits, by the ratio's deviation,
// then by timing; what breaks a limit follows, with the limit it breaks.
type MenuPlan struct{ Choices []MenuChoice }

// GasketMenu tries every gasket of a menu.
//
//	V_c = V_ch + (π/4)·d_g²·h + (π/4)·B²·h_d + V_p + V_cr,   r = 1 + V_s/V_c
//	q = h_d + h
//	Δ = z − (h − h₀),   φ = 2·Δ·cos β/r_w  (crank, retard where the taut run pulls)
//	v = v₀ − Δ·cos γ
//
// z is what was taken off head and deck, h₀ the gasket that was. A change of timing
// moves valve and piston besides; that is not in v and has to be measured.
//
// Shapes: c chambers, m gaskets, v valves -> m choices, ranked.
// Units:  nm, 0.001 mm³, radians.
// Errors: names that are missing or stand twice; sizes that are none; a clearance
// volume of nought or less.
// Source: geometry; the ratio as J. B. Heywood, Internal Combustion Engine
// Fundamentals, 1988, chapter 2 (from memory).
func GasketMenu(chambers []Chamber, menu []Gasket, head Head, rules MenuRules) (MenuPlan, error) {
	if err := checkMenu(chambers, menu, head, rules); err != nil {
		return MenuPlan{}, err
	}
	var p MenuPlan
	for _, i := range ordered(menu, func(g Gasket) string { return g.ID }) {
		c, err := head.try(chambers, menu[i], rules)
		if err != nil {
			return MenuPlan{}, err
		}
		p.Choices = append(p.Choices, c)
	}
	slices.SortStableFunc(p.Choices, func(a, b MenuChoice) int {
		switch {
		case len(a.Broken) != len(b.Broken):
			return len(a.Broken) - len(b.Broken)
		case a.Off < b.Off-1e-9:
			return -1
		case a.Off > b.Off+1e-9:
			return 1
		case math.Abs(a.Retard) < math.Abs(b.Retard):
			return -1
		}
		return 1
	})
	return p, nil
}

func checkMenu(chambers []Chamber, menu []Gasket, head Head, rules MenuRules) error {
	var names, kinds []string
	for _, c := range chambers {
		names = append(names, c.ID)
		if err := sound(c.ID, c.Volume); err != nil {
			return err
		}
		if d := c.Deck.N; d < -mostOff*10 || d > mostOff*10 || !(c.Deck.U >= 0) {
			return refuse("fits.size", "name", c.ID, "found", "deck")
		}
	}
	for _, g := range menu {
		kinds = append(kinds, g.ID)
		if err := sound(g.ID, g.Thick); err != nil {
			return err
		}
	}
	if err := errors.Join(named("chamber", names), named("gasket", kinds)); err != nil {
		return err
	}
	if len(chambers) == 0 || len(chambers) > 16 || len(menu) == 0 || len(menu) > 100 {
		return refuse("fits.count", "kind", "chambers", "least", "1", "most", "16")
	}
	for k, x := range []int64{head.Bore, head.Stroke, head.Hole} {
		if x <= 0 || x > mostSize {
			return refuse("fits.size", "name", []string{"bore", "stroke", "hole"}[k], "found", digits(int(x)))
		}
	}
	if !(rules.Target > 1) || !(rules.Guard >= 0) || head.Wheel < 0 || !(math.Abs(head.Slope) < math.Pi/2) {
		return refuse("fits.menu")
	}
	return nil
}

// disc is the area of a circle in square metres, from nanometres.
func disc(d int64) float64 { m := float64(d) / 1e9; return math.Pi / 4 * m * m }

const litre = 1e12 // thousandths of a cubic millimetre in a cubic metre

func (h Head) try(chambers []Chamber, g Gasket, rules MenuRules) (MenuChoice, error) {
	swept := disc(h.Bore) * float64(h.Stroke) / 1e9
	drop := h.Cut - (g.Thick.N - h.Was)
	c := MenuChoice{ID: g.ID, Drop: drop}
	if h.Wheel > 0 {
		c.Retard = 2 * float64(drop) * math.Cos(h.Slope) / float64(h.Wheel)
	}
	broken := map[string]bool{}
	var chances []float64
	for _, x := range chambers {
		v := float64(x.Volume.N+h.Crown+h.Crevice)/litre + disc(h.Hole)*float64(g.Thick.N)/1e9 + disc(h.Bore)*float64(x.Deck.N)/1e9
		if !(v > 0) {
			return MenuChoice{}, fault.New(fault.Invalid, "fits.volume", "name", x.ID)
		}
		r, k := 1+swept/v, swept/(v*v)
		u := doubt(term{k / litre, x.Volume}, term{k * disc(h.Hole) / 1e9, g.Thick}, term{k * disc(h.Bore) / 1e9, x.Deck})
		c.Ratio, c.RatioU = append(c.Ratio, r), append(c.RatioU, u)
		c.Off = math.Max(c.Off, math.Abs(r-rules.Target))
		if rules.Low != nil && r < *rules.Low+rules.Guard*u || rules.High != nil && r > *rules.High-rules.Guard*u {
			broken["ratio"] = true
		}
		if rules.Low != nil || rules.High != nil {
			chances = append(chances, inside(r, u, rules.Low, rules.High))
		}
		q, qu := x.Deck.N+g.Thick.N, doubt(term{1, x.Deck}, term{1, g.Thick})
		c.Squish, c.SquishU = append(c.Squish, q), append(c.SquishU, qu)
		if !rules.Squish.inside(q, rules.Guard*qu) {
			broken["squish"] = true
		}
		chances = append(chances, rules.Squish.standing(q, qu).Chance)
	}
	for _, v := range h.Valves {
		left := v.Distance.N - int64(math.Round(float64(drop)*v.AlongAxis))
		u := doubt(term{1, v.Distance}, term{v.AlongAxis, g.Thick})
		least := Limits{Low: &v.Least}
		c.Reach = append(c.Reach, left)
		if !least.inside(left, rules.Guard*u) {
			broken["valve"] = true
		}
		chances = append(chances, least.standing(left, u).Chance)
	}
	if rules.Retard != nil && math.Abs(c.Retard) > *rules.Retard {
		broken["retard"] = true
	}
	for _, why := range []string{"ratio", "squish", "valve", "retard"} {
		if broken[why] {
			c.Broken = append(c.Broken, why)
		}
	}
	c.Chance = together(chances)
	return c, nil
}

// NewReach makes a valve's distance from its angle to the cylinder, in radians.
func NewReach(id string, distance Size, least int64, angle float64) Reach {
	return Reach{ID: id, Distance: distance, Least: least, AlongAxis: math.Cos(angle)}
}
