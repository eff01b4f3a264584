package assess_test

import (
	"errors"
	"math"
	"testing"

	"fettle/internal/base/fault"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/maths/gum"
)

// Law: drawn values agree with the first order where it is straight, as
// clearances are: mean, deviation and how two of them move together through the
// gauges and the day they share. Tolerance: five standard deviations of 10⁵ draws:
// u/√M, u/√(2M) with a kurtosis of 3 or a little more, 1/√M; the 25 values here are
// held to six.
func TestLawClearancesDrawn(t *testing.T) {
	a, at := clearances(t)
	at = at[:25]
	const m = 100_000
	d, err := a.Cloud(at, job.Found, gum.Sampling{Seed: 11, Draws: m, Correlate: true})
	if err != nil {
		t.Fatal(err)
	}
	g, moved := a.Graph(), 0
	for i, v := range d.Values {
		s := d.Of[i]
		if v.Position != at[i] || math.Abs(s.Mean-v.SI) > 6*v.SU/math.Sqrt(m) || math.Abs(s.Deviation-v.SU) > 6*v.SU/math.Sqrt(1.5*m) {
			t.Errorf("%s: drawn %g ± %g, first order %g ± %g", v.Position, s.Mean, s.Deviation, v.SI, v.SU)
		}
		if second, ok := a.SecondOrder(v); !ok || second.Curved {
			t.Errorf("%s is called curved: %+v", v.Position, second)
		}
		for j := range i {
			w := d.Values[j]
			r := g.Covariance(v.Node(), w.Node()) / v.SU / w.SU
			if math.Abs(d.Correlation[i][j]-r) > 6/math.Sqrt(m) {
				t.Errorf("%s and %s: correlation %.4f drawn, %.4f first order", v.Position, w.Position, d.Correlation[i][j], r)
			}
			if r > 0.1 {
				moved++
			}
		}
	}
	if moved == 0 {
		t.Error("no two clearances share a cause: this proves nothing")
	}
}

// Law: a taper of a journal whose readings lie within their scatter is called
// curved; its doubt is not taken at its word.
func TestLawTaperIsCurved(t *testing.T) {
	a, _ := clearances(t)
	curved, straight := 0, 0
	for i := range a.Values {
		v := &a.Values[i]
		if v.Place.Char.Relation != "taper" || !v.Has {
			continue
		}
		if s, _ := a.SecondOrder(v); s.Curved {
			curved++
		} else {
			straight++
		}
	}
	t.Logf("tapers: %d curved, %d straight", curved, straight)
	if curved == 0 {
		t.Error("not one taper of a sound engine is curved")
	}
}

// Law: what cannot be drawn is a fault that names it.
func TestLawCloudRefuses(t *testing.T) {
	a, at := clearances(t)
	for _, c := range []struct {
		at  []string
		s   gum.Sampling
		key string
	}{
		{[]string{"no/such/place"}, gum.Sampling{Draws: 5000}, "assess.no-value"},
		{at[:1], gum.Sampling{Draws: 5}, "assess.draws"},
		{nil, gum.Sampling{Draws: 5000}, "assess.draws"},
	} {
		var f *fault.Fault
		if d, err := a.Cloud(c.at, job.Found, c.s); d != nil || !errors.As(err, &f) || f.Key != c.key {
			t.Errorf("%v: %v, %v", c.at, d, err)
		}
	}
	if _, ok := a.SecondOrder(&assess.Value{}); ok {
		t.Error("no value, and a second order")
	}
}
