package allocate

import (
	"math"
	"testing"
)

// Synthetic: the thermal check of the trade notes, 85 mm, α 11.5 and 11: 230 K and
// 110 K give 0.383 mm, as k 0.0045; 280 K and 125 K give 0.493, as k 0.0058.
func TestSyntheticRingGaps(t *testing.T) {
	for _, c := range []struct{ ring, bore, floor, k, use float64 }{{230, 110, 0.383, 0.0045, 0.383}, {280, 125, 0.493, 0.0058, 0.493}} {
		rules := RingRules{Factor: c.k, RingGrowth: 11.5e-6, RingRise: c.ring, BoreGrowth: 11e-6, BoreRise: c.bore, Safety: 1}
		g, err := RingGaps([]Ring{{"1", Size{N: mm(85), U: 1000}, Size{N: mm(0.30), U: 5000}}}, rules)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(g[0].Floor)/1e6-c.floor) > 0.00051 || math.Abs(float64(g[0].ByUse)/1e6-c.use) > 0.00051 {
			t.Errorf("%+v, in the notes %v and %v", g[0], c.floor, c.use)
		}
		if g[0].Target != max(g[0].Floor, g[0].ByUse) || g[0].File != g[0].Target-mm(0.30) || math.Abs(g[0].U-5000) > 1 {
			t.Errorf("%+v", g[0])
		}
	}
}

// Law: a hotter ring never gets a narrower gap, a wider gap is never filed more,
// and a gap too wide shows as less than nought.
func TestLawRingGaps(t *testing.T) {
	last := int64(0)
	for rise := 0.0; rise < 380; rise += 10 {
		rules := RingRules{Factor: 0.004, RingGrowth: 11.5e-6, RingRise: rise, BoreGrowth: 11e-6, BoreRise: 100, Safety: 1}
		g, err := RingGaps([]Ring{{"a", Size{N: mm(85)}, Size{N: mm(0.2)}}, {"b", Size{N: mm(85)}, Size{N: mm(0.9)}}}, rules)
		if err != nil || g[0].Target < last || g[0].File-g[1].File != mm(0.7) || g[1].File >= 0 {
			t.Fatalf("%+v, %v", g, err)
		}
		if (g[0].Binds == "heat") != (g[0].Floor > g[0].ByUse) {
			t.Fatalf("%+v", g)
		}
		last = g[0].Target
	}
	if _, err := RingGaps(nil, RingRules{Factor: 1}); refusedWith(err) != "fits.ring-rules" {
		t.Error(err)
	}
}
