package assess

import (
	"math"
	"testing"

	"fettle/internal/facts/job"
)

// weighed is a family whose pistons are weighed and whose chambers are filled,
// with a synthetic balance and burette.
func weighed(t testing.TB) Knowledge {
	return tinyWith(t, "conditions:\n", `- {id: balance, name: {en: Balance}, quantity: mass, resolution: 0.1 g, repeat: 0.05 g, bias: 0.04 g, linearity: 0.06 g, linearity_over: 100 g, minutes: 1, source: made-up, status: from memory}
- {id: burette, name: {en: Burette}, quantity: volume, resolution: 0.1 ml, repeat: 0.09 ml, bias: 0.08 ml, meniscus: 0.05 ml, drop: 0.05 ml, minutes: 6, source: made-up, status: from memory}
conditions:
`, "- id: piston/clearance\n", `- id: piston/mass
  name: {en: Mass}
  per: [cyl]
  quantity: mass
  unit: g
  decimals: 1
  gauges: [balance]
- id: piston/mass-spread
  name: {en: Spread}
  quantity: mass
  unit: g
  decimals: 1
  relation: range
  bind: {x: {from: piston/mass}}
- id: piston/dome
  name: {en: Dome}
  per: [cyl]
  quantity: volume
  unit: cm³
  decimals: 2
  gauges: [burette]
- id: piston/clearance
`)
}

// Law: what a balance is off otherwise at another load cancels in the difference
// of two masses that are nearly alike and does not in that of two far apart; the
// doubt of one mass is the same at every load. Worked by hand, g: repeat 0.05,
// step 0.1/√12, bias 0.04 with a linearity of ±0.06 in it, independent 100 g on.
func TestLawLinearityIsOfALoad(t *testing.T) {
	k := weighed(t)
	at := func(first, second string) (one, spread *Value) {
		b := open(t)
		b.owns("W1", "balance", "")
		b.read("piston/mass/1 "+first+" g W1", job.Found)
		b.read("piston/mass/2 "+second+" g W1", job.Found)
		return b.value(k, "piston/mass/1"), b.value(k, "piston/mass-spread")
	}
	scatter := 0.05*0.05 + 0.01/12
	lin := 0.06 * 0.06 / 3
	for _, c := range []struct {
		first, second string
		together      float64 // correlation of what it is off at the two loads
	}{
		{"400.0", "500.0", 0},
		{"400.0", "400.4", (0.996*1 + 0) / math.Hypot(0.996, 0.004)},
		{"410.0", "412.0", (0.9*0.88 + 0.1*0.12) / (math.Hypot(0.9, 0.1) * math.Hypot(0.88, 0.12))},
		{"450.0", "550.0", 0.5},
	} {
		one, spread := at(c.first, c.second)
		if want := math.Sqrt(scatter + 0.04*0.04); math.Abs(one.SU*1e3-want) > 1e-6 {
			t.Errorf("%s g: u = %.6f g, by hand %.6f", c.first, one.SU*1e3, want)
		}
		if want := math.Sqrt(2*scatter + 2*lin*(1-c.together)); math.Abs(spread.SU*1e3-want) > 1e-6 {
			t.Errorf("%s and %s g: u = %.6f g, by hand %.6f", c.first, c.second, spread.SU*1e3, want)
		}
	}
}

// Law: meniscus and drop are causes of their own within the repeat of a burette:
// the doubt of a volume stays what it was. Worked by hand, ml².
func TestLawBuretteHasMeniscusAndDrop(t *testing.T) {
	k := weighed(t)
	b := open(t)
	b.owns("V1", "burette", "")
	b.read("piston/dome/1 12.30 cm³ V1", job.Found)
	a := b.assess(k)
	v, _ := a.Find("piston/dome/1", job.Found)
	all := 0.09*0.09 + 0.01/12 + 0.08*0.08
	if want := math.Sqrt(all); math.Abs(v.SU*1e6-want) > 1e-6 {
		t.Errorf("u = %.6f ml, by hand %.6f", v.SU*1e6, want)
	}
	_, budget := a.Explain(v)
	got := map[string]float64{}
	for _, s := range budget {
		got[s.Cause] += s.Frac
	}
	for cause, want := range map[string]float64{"meniscus": 2 * 0.05 * 0.05, "drop": 0.05 * 0.05 / 12, "gauge": 0.08 * 0.08,
		"repeat": 0.09*0.09 - 2*0.05*0.05 - 0.05*0.05/12 + 0.01/12} {
		if math.Abs(got[cause]-want/all) > 1e-9 {
			t.Errorf("%s is %.6f of the variance, by hand %.6f", cause, got[cause], want/all)
		}
	}
}

// Parts that are more than the whole are a fault of the file.
func TestInstrumentPartsWithinTheWhole(t *testing.T) {
	k := weighed(t)
	b, u := k.Library.Instruments["balance"], k.Library.Instruments["burette"]
	if _, _, ok := b.Rest(); !ok {
		t.Error("a good balance was refused")
	}
	b.Over.N, b.Over.Dim = 0, 0
	if _, _, ok := b.Rest(); ok {
		t.Error("a linearity without a distance was taken")
	}
	u.Meniscus.N *= 2
	if _, _, ok := u.Rest(); ok {
		t.Error("a meniscus wider than the repeat was taken")
	}
}
