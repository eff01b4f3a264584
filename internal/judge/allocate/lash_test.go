package allocate

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// notes of a healthy set: what shim and lash fill scatters by 15 µm, lash is read
// to 10 µm; after is the lash measured after other shims were fitted.
func notes(r *rand.Rand, ratio float64, after bool) []LashNote {
	var out []LashNote
	for i := range 24 {
		group, middle := "in", mm(2.60)
		if i >= 12 {
			group, middle = "ex", mm(2.95)
		}
		h := float64(middle) + 15000*r.NormFloat64()
		shim := mm(2.2) + um(float64(5*r.IntN(40)))
		read := func(n int64) Size {
			g := (h-float64(n))/ratio + 4000*r.NormFloat64()
			return Size{N: int64(g) / 10_000 * 10_000, U: 5000}
		}
		if group == "ex" {
			shim += mm(0.3)
		}
		n := LashNote{ID: fmt.Sprintf("%s/%02d", group, i), Group: group, Shim: Size{N: shim, U: 1000}, Lash: read(shim), Ratio: ratio}
		if n.Lash.N < 0 {
			n.Lash.N = 0
		}
		if after {
			fitted := shim + um(float64(20*(r.IntN(9)-4)))
			f, g := Size{N: fitted, U: 1000}, read(fitted)
			n.Fitted, n.After = &f, &g
		}
		out = append(out, n)
	}
	return out
}

// Law: in sets that are sound hardly anything is suspect; where one shim is noted
// with two digits swapped, that valve comes first and the number it was is among
// what is proposed, unless the swap moves it by less than the set scatters.
func TestLawSwappedDigitsAreFound(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	wrong, tried, first, undone := 0, 0, 0, 0
	for range 200 {
		n := notes(r, 1.5, false)
		sound, err := CheckLash(n, 3.5)
		if err != nil {
			t.Fatal(err)
		}
		wrong += len(sound.Suspects)
		k := r.IntN(len(n))
		was := n[k].Shim.N
		to := swapped(was)
		if len(to) == 0 {
			continue
		}
		n[k].Shim.N = to[r.IntN(len(to))]
		if d := n[k].Shim.N - was; d > -um(150) && d < um(150) || n[k].Shim.N <= 0 {
			continue
		}
		tried++
		c, err := CheckLash(n, 3.5)
		if err != nil {
			t.Fatal(err)
		}
		if len(c.Suspects) > 0 && c.Suspects[0].ID == n[k].ID {
			first++
			if s := c.Suspects[0]; s.Slip == "digits swapped" && s.Perhaps == was {
				undone++
			}
		}
	}
	if tried < 50 || first != tried || undone < tried*8/10 {
		t.Errorf("of %d swaps %d came first and %d were undone", tried, first, undone)
	}
	if wrong > 24*200/20 {
		t.Errorf("%d suspects in 200 sound sets of 24", wrong)
	}
}

// Law: two shims exchanged are both suspect, each with the other.
func TestLawExchangedShimsAreFound(t *testing.T) {
	r := rand.New(rand.NewPCG(33, 34))
	tried, found := 0, 0
	for range 200 {
		n := notes(r, 1, false)
		a, b := r.IntN(24), r.IntN(24)
		if d := n[a].Shim.N - n[b].Shim.N; a == b || d > -um(150) && d < um(150) {
			continue
		}
		tried++
		n[a].Shim, n[b].Shim = n[b].Shim, n[a].Shim
		c, err := CheckLash(n, 3.5)
		if err != nil {
			t.Fatal(err)
		}
		with := map[string]string{}
		for _, s := range c.Suspects {
			with[s.ID] = s.With
		}
		if with[n[a].ID] == n[b].ID && with[n[b].ID] == n[a].ID {
			found++
		}
	}
	if tried < 50 || found < tried*8/10 {
		t.Errorf("of %d exchanges %d were found", tried, found)
	}
}

// Law: after a change of shims the ratio shown is the one that the engine has; a
// ratio of 1 taken for a finger of 1.5 is doubtful, the right one is not.
func TestLawRatioShows(t *testing.T) {
	r := rand.New(rand.NewPCG(35, 36))
	doubted := 0
	for range 100 {
		n := notes(r, 1.5, true)
		c, err := CheckLash(n, 3.5)
		if err != nil || c.Ratio < 1.5-4*c.RatioU || c.Ratio > 1.5+4*c.RatioU || c.RatioU > 0.15 {
			t.Fatalf("ratio %v ± %v, %v, expected 1.5", c.Ratio, c.RatioU, err)
		}
		if c.Doubtful {
			doubted++
		}
		for i := range n {
			n[i].Ratio = 1
		}
		if c, err = CheckLash(n, 3.5); err != nil || !c.Doubtful {
			t.Fatalf("a ratio of 1 passes: %v ± %v, %v", c.Ratio, c.RatioU, err)
		}
	}
	if doubted > 5 {
		t.Errorf("the right ratio was doubted %d times of 100", doubted)
	}
}

// Law: one number noted wrong after the change puts that valve among the
// suspects, on the side of the numbers taken after; one noted wrong before, on the
// other.
func TestLawWhichRound(t *testing.T) {
	r := rand.New(rand.NewPCG(37, 38))
	for k := range 60 {
		n := notes(r, 1.2, true)
		i := r.IntN(24)
		want := []string{"after", "fitted", "fitted or after", "tenth"}
		if k%2 == 0 {
			n[i].After.N += mm(0.30)
		} else {
			n[i].Lash.N += mm(0.30)
			want = []string{"lash", "shim", "shim or lash"}
		}
		c, err := CheckLash(n, 3.5)
		if err != nil {
			t.Fatal(err)
		}
		ok := false
		for _, s := range c.Suspects {
			for _, w := range want {
				ok = ok || s.ID == n[i].ID && s.What == w
			}
		}
		if !ok {
			t.Errorf("round %d: valve %s: %+v", k%2, n[i].ID, c.Suspects)
		}
	}
}
