package risk

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gonum.org/v1/gonum/stat/distuv"
)

// process draws a process and a tolerance about it.
func process(t *rapid.T) (Prior, Range, float64) {
	mean, sd := rapid.Float64Range(1, 3).Draw(t, "mean"), rapid.Float64Range(0.1, 1).Draw(t, "sd")
	p, err := Normal(mean, sd)
	if rapid.Bool().Draw(t, "gamma") {
		p, err = Gamma(math.Max(1, mean*mean/(sd*sd)), mean)
	}
	if err != nil {
		t.Fatal(err)
	}
	tol := Range{mean - rapid.Float64Range(0.5, 3).Draw(t, "low")*sd, mean + rapid.Float64Range(0.5, 3).Draw(t, "high")*sd}
	if rapid.Bool().Draw(t, "one limit") {
		tol.Low = math.Inf(-1)
	}
	return p, tol, rapid.Float64Range(0.02, 1).Draw(t, "u/sd") * sd
}

// Law: accepted and wrongly rejected make up all that conforms together with
// the wrongly accepted taken off; a wider guard band never raises the
// consumer's risk nor lowers the producer's; the risk chosen is the risk got.
func TestLawGlobal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, tol, u := process(t)
		bad, err := p.Nonconforming(tol)
		if err != nil {
			t.Fatal(err)
		}
		last := Global{Consumer: 1}
		for _, w := range []float64{-0.2, 0, 0.2, 0.4} {
			g, err := p.GlobalRisks(tol, tol.Guarded(w*u), u)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(g.Accepted-g.Consumer+g.Producer-(1-bad)) > 1e-11 {
				t.Errorf("accepted %g, consumer %g, producer %g, conforming %g", g.Accepted, g.Consumer, g.Producer, 1-bad)
			}
			if g.Consumer > last.Consumer || g.Producer < last.Producer || g.Consumer > bad || g.Outgoing() > 1 {
				t.Errorf("w = %g u: %+v after %+v, %g bad", w, g, last, bad)
			}
			last = g
		}
		none, _ := p.GlobalRisks(tol, tol, u)
		r := none.Consumer * rapid.Float64Range(0.1, 0.9).Draw(t, "share")
		w, at, err := p.GlobalGuard(tol, u, r)
		if err != nil {
			return // limits too close together for that
		}
		if math.Abs(at.Consumer-r) > 1e-9*r || w <= 0 {
			t.Errorf("asked %g, got %g with w = %g", r, at.Consumer, w)
		}
	})
}

// Law: a process spread far wider than the uncertainty says nothing about one
// value, so that what conforms by both is what conforms by the measurement.
func TestLawFlatProcess(t *testing.T) {
	p, err := Normal(0, 1e4)
	if err != nil {
		t.Fatal(err)
	}
	for _, y := range []float64{-1.2, 0, 0.9, 1.4} {
		got, err := p.Conformance(Range{-1, 1}, y, 0.3)
		if err != nil {
			t.Fatal(err)
		}
		r, err := Specific(Range{-1, 1}, y, 0.3)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-(1-r)) > 1e-8 {
			t.Errorf("y = %g: %g after the measurement, %g by it alone", y, got, 1-r)
		}
	}
}

// Law: at the edge of the guard band the specific risk is as chosen and nowhere
// inside is it more, however close the limits.
func TestLawSpecificGuard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tol := Range{-1, rapid.Float64Range(-0.9, 3).Draw(t, "high")}
		u, r := rapid.Float64Range(0.01, 1).Draw(t, "u"), rapid.Float64Range(0.001, 0.4).Draw(t, "r")
		w, err := SpecificGuard(tol, u, r)
		if err != nil {
			if mid, _ := Specific(tol, (tol.Low+tol.High)/2, u); mid <= r {
				t.Errorf("refused, but the risk in the middle is %g of %g: %v", mid, r, err)
			}
			return
		}
		a := tol.Guarded(w)
		for _, share := range []float64{0, 0.2, 0.5, 1} {
			got, err := Specific(tol, a.Low+share*(a.High-a.Low), u)
			if err != nil {
				t.Fatal(err)
			}
			if got > r*(1+1e-9) || w > 0 && share == 0 && math.Abs(got-r) > 1e-9 {
				t.Errorf("at %g of the band: risk %g, chosen %g, w = %g", share, got, r, w)
			}
		}
	})
}

// Law: the sums agree with draws of the same process and measurement. 4·10⁵
// pairs at evenly spread chances (a lattice, no luck in it); tolerance four
// standard errors of as many random draws.
func TestLawDraws(t *testing.T) {
	p, err := Gamma(2.5, 1)
	if err != nil {
		t.Fatal(err)
	}
	g, err := p.GlobalRisks(Range{0.2, 2}, Range{0.3, 1.9}, 0.2)
	if err != nil {
		t.Fatal(err)
	}
	const n = 400000
	law := distuv.Gamma{Alpha: 2.5, Beta: 2.5}
	var consumer, producer float64
	for i := range n {
		eta := law.Quantile((float64(i) + 0.5) / n)
		y := eta + 0.2*distuv.UnitNormal.Quantile(math.Mod(float64(i)*math.Phi+0.25, 1))
		good, accepted := eta >= 0.2 && eta <= 2, y >= 0.3 && y <= 1.9
		if accepted && !good {
			consumer += 1. / n
		}
		if good && !accepted {
			producer += 1. / n
		}
	}
	for i, pair := range [][2]float64{{g.Consumer, consumer}, {g.Producer, producer}} {
		t.Logf("%g worked out, %g counted", pair[0], pair[1])
		if math.Abs(pair[0]-pair[1]) > 4*math.Sqrt(pair[0]/n) {
			t.Errorf("risk %d: %g worked out, %g counted", i, pair[0], pair[1])
		}
	}
}

func TestRefusals(t *testing.T) {
	p, err := Normal(0, 1)
	if err != nil {
		t.Fatal(err)
	}
	inf := math.Inf(1)
	_, gamma := Gamma(0.5, 1)
	_, normal := Normal(0, 0)
	_, order := Specific(Range{1, 1}, 0, 1)
	_, open := Specific(Range{-inf, inf}, 0, 1)
	_, u := Specific(Below(1), 0, 0)
	_, y := Specific(Below(1), math.NaN(), 1)
	_, r := SpecificGuard(Below(1), 1, 1)
	_, close := SpecificGuard(Range{0, 1}, 1, 0.05)
	_, band := p.GlobalRisks(Below(1), Range{2, 1}, 1)
	_, _, chosen := p.GlobalGuard(Below(1), 1, 0)
	_, _, never := p.GlobalGuard(Range{-0.01, 0.01}, 1, 1e-12)
	_, unlike := p.Conformance(Below(1), 1e4, 0.1)
	for i, c := range []struct {
		err  error
		want string
	}{
		{gamma, "shape from 1"}, {normal, "positive deviation"}, {order, "tolerance from 1 to 1"}, {open, "at least one finite"},
		{u, "uncertainty 0"}, {y, "value NaN"}, {r, "risk of 1"}, {close, "even in the middle"}, {band, "acceptance from 2 to 1"},
		{chosen, "risk of 0"}, {never, "no guard band"}, {unlike, "makes nothing like it"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("case %d: %v, want %q", i, c.err, c.want)
		}
	}
	if w, _, err := p.GlobalGuard(Below(6), 0.1, 0.01); err != nil || w != 0 {
		t.Errorf("a band of %g where none is needed, %v", w, err)
	}
	if w, err := SpecificGuard(Below(1), 1, 0.7); err != nil || w != 0 {
		t.Errorf("a band of %g for a risk of 70 %%, %v", w, err)
	}
	if (Global{}).Outgoing() != 0 {
		t.Error("nothing accepted has bad pieces")
	}
	if bad, err := p.Nonconforming(Above(0)); err != nil || bad != 0.5 {
		t.Errorf("below the mean: %v, %v", bad, err)
	}
}
