package allocate

import (
	"math"
)

// Ring is a ring with its end gap, square in the bore that it is for.
type Ring struct {
	ID        string
	Bore, Gap Size
}

// RingRules say which gap is wanted. Expansions are for one kelvin, rises in
// kelvin above the temperature at which the gap was taken.
type RingRules struct {
	Factor               float64 // gap over bore, by use
	RingGrowth, RingRise float64
	BoreGrowth, BoreRise float64
	Safety               float64 // of the thermal floor
}

// RingGap is what one ring needs.
type RingGap struct {
	ID     string
	ByUse  int64 // k·B
	Floor  int64 // below which the ends would meet hot
	Target int64 // the larger of the two
	File   int64 // to be taken off; negative where the gap is wider already
	U      float64
	Binds  string // "use" or "heat": which of the two the target is
}

// RingGaps works out the gap to which each ring is filed in its own bore.
//
//	g = k·B,   g_min = π·B·(α_r·ΔT_r − α_b·ΔT_b)·SF
//
// Shapes: n rings -> n gaps.
// Units:  nm; expansions for one kelvin, rises in kelvin, factors none.
// Errors: names that are missing or stand twice; sizes that are none; a factor
// beyond 0 to 0.02, a safety beyond 0 to 5, an expansion or a rise that is none.
// Source: common practice, no source, for k; geometry for the floor.
func RingGaps(rings []Ring, rules RingRules) ([]RingGap, error) {
	var names []string
	for _, r := range rings {
		names = append(names, r.ID)
		if err := sound(r.ID, r.Bore); err != nil {
			return nil, err
		}
		if r.Gap.N < 0 || r.Gap.N > mostOff*10 || !(r.Gap.U >= 0) {
			return nil, refuse("fits.gap", "name", r.ID)
		}
	}
	if err := named("ring", names); err != nil {
		return nil, err
	}
	strain := rules.RingGrowth*rules.RingRise - rules.BoreGrowth*rules.BoreRise
	if !(rules.Factor >= 0 && rules.Factor <= 0.02) || !(rules.Safety >= 0 && rules.Safety <= 5) || !(math.Abs(strain) < 0.02) {
		return nil, refuse("fits.ring-rules")
	}
	var out []RingGap
	for _, r := range rings {
		b := float64(r.Bore.N)
		g := RingGap{ID: r.ID, ByUse: int64(math.Round(rules.Factor * b)), Floor: int64(math.Round(math.Max(0, math.Pi*b*strain*rules.Safety))), Binds: "use"}
		slope := rules.Factor
		if g.Target = g.ByUse; g.Floor > g.ByUse {
			g.Target, g.Binds, slope = g.Floor, "heat", math.Pi*strain*rules.Safety
		}
		g.File = g.Target - r.Gap.N
		g.U = doubt(term{slope, r.Bore}, term{-1, r.Gap})
		out = append(out, g)
	}
	return out, nil
}
