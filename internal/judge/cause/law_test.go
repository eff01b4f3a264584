package cause

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

const exact = 1e-12

func near(a, b float64) bool { return math.Abs(a-b) <= exact*max(1, math.Abs(b)) }

// Published: a test of a rare thing. G. Gigerenzer and U. Hoffrage, How to
// improve Bayesian reasoning without instruction, Psychological Review 102
// (1995), after D. Eddy (1982), from memory: prevalence 1 %, sensitivity 80 %,
// false positives 9.6 %; printed: 0.078. Half a digit of what is printed.
func TestPublishedTestOfARareThing(t *testing.T) {
	p := Posterior([]float64{0.01, 0.99}, [][]float64{{0.80, 0.096}})
	if math.Abs(p[0]-0.078) > 0.0005 {
		t.Errorf("%.4f", p[0])
	}
}

// Published: W. Casscells, A. Schoenberger, T. Grayboys, New England Journal of
// Medicine 299 (1978), from memory: prevalence 1 in 1000, false positives 5 %,
// every case found; printed: about 2 %.
func TestPublishedOneInAThousand(t *testing.T) {
	p := Posterior([]float64{1, 999}, [][]float64{{1, 0.05}})
	if math.Abs(p[0]-0.02) > 0.005 {
		t.Errorf("%.4f", p[0])
	}
}

// Published: a fair coin leaves one bit, four equal ways two; C. E. Shannon, A
// mathematical theory of communication (1948), from memory. A check that
// decides between two equal causes tells one bit.
func TestPublishedBits(t *testing.T) {
	if h := Entropy([]float64{0.5, 0.5}); !near(h, 1) {
		t.Errorf("coin %g", h)
	}
	if h := Entropy([]float64{0.25, 0.25, 0.25, 0.25, 0}); !near(h, 2) {
		t.Errorf("four ways %g", h)
	}
	if g := Gain([]float64{0.5, 0.5}, [][]float64{{1, 0}, {0, 1}}); !near(g, 1) {
		t.Errorf("a deciding check tells %g", g)
	}
}

// some draws findings of an area: some signs there, some absent, the rest not
// looked at.
func some(m *area, r *rand.Rand) []Found {
	var out []Found
	for _, f := range m.draw(r.IntN(len(m.prior)), r) {
		if r.IntN(3) > 0 {
			out = append(out, f)
		}
	}
	return out
}

func each(t *testing.T, f func(t *testing.T, m *area, r *rand.Rand)) {
	cat := shipped(t)
	for k := range cat.Areas {
		m := newArea(cat, &cat.Areas[k])
		r := rand.New(rand.NewPCG(7, uint64(k)))
		for range 20 {
			f(t, m, r)
		}
	}
}

// Law: probabilities sum to one and none is nought; the order of evidence does
// not matter; a sign given twice counts once.
func TestPosteriorLaws(t *testing.T) {
	each(t, func(t *testing.T, m *area, r *rand.Rand) {
		found := some(m, r)
		a := m.answer(found)
		sum := 0.0
		for i, c := range a.Causes {
			sum += c.Posterior
			if c.Posterior <= 0 || i > 0 && c.Posterior > a.Causes[i-1].Posterior {
				t.Errorf("%s: %s has %g", m.a.ID, c.Mode, c.Posterior)
			}
		}
		if !near(sum, 1) {
			t.Errorf("%s: the probabilities sum to %.15f", m.a.ID, sum)
		}
		mixed := slices.Clone(found)
		r.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
		if d := cmp.Diff(a, m.answer(append(mixed, found...))); d != "" {
			t.Errorf("%s: the order of evidence matters: %s", m.a.ID, d)
		}
		turned := slices.Clone(found)
		for i := range turned {
			turned[i] = Found{Sign: turned[i].Sign, There: !turned[i].There}
		}
		if d := cmp.Diff(a, m.answer(append(slices.Clone(found), turned...))); d != "" {
			t.Errorf("%s: a sign given a second time otherwise counts: %s", m.a.ID, d)
		}
	})
}

// Law: without evidence the shares stand as they are, nothing speaks for or
// against; what was not looked at is not evidence.
func TestNoEvidenceIsThePriors(t *testing.T) {
	each(t, func(t *testing.T, m *area, _ *rand.Rand) {
		a := m.answer(nil)
		if len(a.Found) != 0 || len(a.Next) != len(m.signs) {
			t.Errorf("%s: %d found, %d to look at", m.a.ID, len(a.Found), len(a.Next))
		}
		total := float64(m.a.None.Share)
		for _, mode := range m.modes {
			total += float64(mode.Share)
		}
		for _, c := range a.Causes {
			share := float64(m.a.None.Share)
			if mode, ok := m.cat.Mode(c.Mode); ok {
				share = float64(mode.Share)
			}
			if !near(c.Posterior, share/total) || !near(c.Prior, c.Posterior) || len(c.For)+len(c.Against) != 0 {
				t.Errorf("%s: %s has %g of %g", m.a.ID, c.Mode, c.Posterior, share/total)
			}
		}
	})
}

// Law: evidence that is equally likely under all modes changes nothing, and a
// sign of another area is none.
func TestEqualEvidenceChangesNothing(t *testing.T) {
	prior := []float64{0.2, 0.5, 0.3}
	got := Posterior(prior, [][]float64{{0.7, 0.7, 0.7}, {0.01, 0.01, 0.01}})
	for i := range got {
		if !near(got[i], prior[i]) {
			t.Errorf("%v", got)
		}
	}
	each(t, func(t *testing.T, m *area, r *rand.Rand) {
		found := some(m, r)
		more := slices.Clone(found)
		for i := range m.cat.Signs {
			if id := m.cat.Signs[i].ID; !slices.Contains(m.signs, id) {
				more = append(more, Found{Sign: id, There: true})
			}
		}
		// Every pattern is possible: the pattern says nothing.
		for i := range more {
			if more[i].There {
				more[i].Patterns = Patterns()
			}
		}
		for i := range found {
			found[i].Patterns = nil
		}
		a, b := m.answer(found), m.answer(more)
		for i := range a.Causes {
			if a.Causes[i].Mode != b.Causes[i].Mode || !near(a.Causes[i].Posterior, b.Causes[i].Posterior) {
				t.Errorf("%s: %s %g became %s %g", m.a.ID, a.Causes[i].Mode, a.Causes[i].Posterior, b.Causes[i].Mode, b.Causes[i].Posterior)
			}
		}
	})
}

// Law: looking and not finding is evidence against the modes that would show it,
// not looking is none; and each outcome of a check is one of the ways there are.
func TestAbsentIsNotUnknown(t *testing.T) {
	each(t, func(t *testing.T, m *area, _ *rand.Rand) {
		for i, mode := range m.modes {
			first := mode.Marks[0].Sign
			a := m.answer([]Found{{Sign: first}})
			for _, c := range a.Causes {
				if c.Mode == mode.ID && c.Posterior >= m.prior[i] {
					t.Errorf("%s: not finding %s does not speak against %s", m.a.ID, first, mode.ID)
				}
			}
		}
		for _, id := range m.signs {
			s, _ := m.cat.Sign(id)
			for i := range m.prior {
				sum := 0.0
				for _, row := range m.outcomes(s) {
					sum += row[i]
				}
				if !near(sum, 1) {
					t.Errorf("%s: the outcomes of %s sum to %g", m.a.ID, id, sum)
				}
			}
		}
	})
}

// Law: a check that is made tells on average what it was expected to tell: the
// mean of the bits left over all outcomes is the bits before less the gain. What
// is known of a sign already can be learnt no second time.
func TestGainIsWhatIsWon(t *testing.T) {
	each(t, func(t *testing.T, m *area, r *rand.Rand) {
		found := some(m, r)
		a := m.answer(found)
		_, like := m.rows(found)
		post := Posterior(m.prior, like)
		for i, c := range a.Next {
			if c.Gain < 0 || i > 0 && c.Gain > a.Next[i-1].Gain {
				t.Errorf("%s: %s has %g bits", m.a.ID, c.Sign, c.Gain)
			}
			if slices.ContainsFunc(found, func(f Found) bool { return f.Sign == c.Sign }) {
				t.Errorf("%s: %s is to be looked at again", m.a.ID, c.Sign)
			}
		}
		if len(a.Next) == 0 {
			return
		}
		s, _ := m.cat.Sign(a.Next[0].Sign)
		left := 0.0
		for _, row := range m.outcomes(s) {
			chance := 0.0
			for i := range row {
				chance += post[i] * row[i]
			}
			left += chance * Entropy(Posterior(post, [][]float64{row}))
		}
		if math.Abs(Entropy(post)-left-a.Next[0].Gain) > 1e-9 {
			t.Errorf("%s: %s won %g, expected %g", m.a.ID, s.ID, Entropy(post)-left, a.Next[0].Gain)
		}
	})
}

// Law: looking at the other places of a mark that is there tells something
// where its pattern is open, and the rows of its outcomes sum to one.
func TestOthersAreWorthALook(t *testing.T) {
	cat := shipped(t)
	m := newArea(cat, &cat.Areas[0])
	f := Found{Sign: "shells-copper", There: true, Patterns: Patterns(), Halves: []string{"upper", "both"}, Open: []string{"1"}}
	a := m.answer([]Found{f})
	i := slices.IndexFunc(a.Next, func(c Check) bool { return c.Sign == "shells-copper" })
	if i < 0 || !a.Next[i].Others || a.Next[i].Gain <= 0 {
		t.Fatalf("%+v", a.Next)
	}
	s, _ := cat.Sign(f.Sign)
	for k := range m.prior {
		sum := 0.0
		for _, row := range m.resolved(s, f) {
			sum += row[k]
		}
		if !near(sum, 1) {
			t.Errorf("the outcomes sum to %g", sum)
		}
	}
	f.Patterns, f.Halves = []string{One}, []string{"upper"}
	if a := m.answer([]Found{f}); slices.ContainsFunc(a.Next, func(c Check) bool { return c.Sign == f.Sign }) {
		t.Error("what is known is to be looked at")
	}
}

// Law: weights of evidence are Bayes' rule read as odds: ratio times the odds
// before are the odds after, for one piece of evidence.
func TestRatioIsOdds(t *testing.T) {
	prior, like := []float64{0.1, 0.2, 0.7}, []float64{0.9, 0.3, 0.05}
	post := Posterior(prior, [][]float64{like})
	for i := range prior {
		before, after := prior[i]/(1-prior[i]), post[i]/(1-post[i])
		if r := Ratio(prior, like, i); !near(r*before, after) {
			t.Errorf("%d: %g times %g is not %g", i, r, before, after)
		}
	}
}
