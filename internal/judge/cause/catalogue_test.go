package cause

import (
	"math/rand/v2"
	"os"
	"testing"

	"fettle/internal/know/failure"
)

// shipped is the catalogue of this repository.
func shipped(t testing.TB) *failure.Catalogue {
	t.Helper()
	text, err := os.ReadFile("../../../data/failures.yaml")
	if err != nil {
		t.Fatal(err)
	}
	yes := func(string) bool { return true }
	both := func(string, string) bool { return true }
	cat, faults := failure.Read("failures.yaml", text, failure.Known{Source: yes, Kind: both, Within: both})
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return cat
}

// draw makes an engine that failed by the i-th mode of an area, everything
// looked at everywhere: each sign there or not by its likelihood, and lying as
// its spreads say.
func (m *area) draw(i int, r *rand.Rand) []Found {
	var out []Found
	for _, id := range m.signs {
		s, _ := m.cat.Sign(id)
		p, over, half := m.chance(i, s)
		f := Found{Sign: id, There: r.Float64() < p}
		if f.There && s.Spread {
			f.Patterns = pick(r, Patterns(), func(q string) float64 { return overOf(over, q) })
		}
		if f.There && s.Half {
			f.Halves = pick(r, []string{"upper", "lower", "both"}, func(q string) float64 { return halfOf(half, q) })
		}
		out = append(out, f)
	}
	return out
}

func pick(r *rand.Rand, list []string, p func(string) float64) []string {
	x := r.Float64()
	for _, q := range list {
		if x -= p(q); x < 0 {
			return []string{q}
		}
	}
	return list[len(list)-1:]
}

// Law: each mode, and none of these, simulated from its own likelihoods, ranks
// in the first three of its area in at least 80 % of 1000 draws. Synthetic: what
// it proves is that the marks of the file tell its modes apart, not that the
// likelihoods are those of engines.
func TestEachModeIsFound(t *testing.T) {
	const draws = 1000
	cat := shipped(t)
	for k := range cat.Areas {
		m := newArea(cat, &cat.Areas[k])
		if len(m.modes) < 6 {
			t.Errorf("area %s has %d modes; three of so few is no ranking", m.a.ID, len(m.modes))
		}
		for i := range m.prior {
			r := rand.New(rand.NewPCG(38, uint64(1000*k+i)))
			mode := None
			if i < len(m.modes) {
				mode = m.modes[i].ID
			}
			first, three := 0, 0
			for range draws {
				_, like := m.rows(m.draw(i, r))
				post := Posterior(m.prior, like)
				above := 0
				for j, p := range post {
					if p > post[i] || p == post[i] && j < i {
						above++
					}
				}
				if above < 3 {
					three++
				}
				if above == 0 {
					first++
				}
			}
			t.Logf("%-9s %-20s first %5.1f %%, in the first three %5.1f %%", m.a.ID, mode, 100*float64(first)/draws, 100*float64(three)/draws)
			if three < draws*8/10 {
				t.Errorf("%s: %s ranks in the first three in %d of %d draws", m.a.ID, mode, three, draws)
			}
		}
	}
}
