package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// drawn is a crossed study of whatever size and spread.
func drawn(t *rapid.T) Crossed {
	p, a, r := rapid.IntRange(2, 6).Draw(t, "parts"), rapid.IntRange(2, 4).Draw(t, "persons"), rapid.IntRange(2, 4).Draw(t, "trials")
	c := make(Crossed, p)
	for i := range c {
		c[i] = make([][]float64, a)
		for j := range c[i] {
			for range r {
				c[i][j] = append(c[i][j], rapid.Float64Range(-1, 1).Draw(t, "x"))
			}
		}
	}
	return c
}

func moved(c Crossed, k, shift float64) Crossed {
	out := make(Crossed, len(c))
	for i := range c {
		out[i] = make([][]float64, len(c[i]))
		for j := range c[i] {
			for _, x := range c[i][j] {
				out[i][j] = append(out[i][j], shift+k*x)
			}
		}
	}
	return out
}

// Law: the sums of squares and the degrees of freedom add up to the total, the
// contributions to one; shifting all readings changes nothing, scaling them
// scales the spreads by either method and leaves the categories alone.
func TestLawStudies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawn(t)
		v, err := StudyByVariances(c, 0.05)
		if err != nil {
			return // all cells without spread
		}
		parts := []Source{v.Parts, v.Persons, v.Interaction, v.Repeat}
		var ss float64
		df := 0
		for _, s := range parts {
			ss, df = ss+s.SumOfSquares, df+s.DF
		}
		if math.Abs(ss-v.Total.SumOfSquares) > 1e-12*(1+v.Total.SumOfSquares) || df != v.Total.DF {
			t.Errorf("sums %g of %g, degrees %d of %d", ss, v.Total.SumOfSquares, df, v.Total.DF)
		}
		if sum := v.Gauge.Gauge.Contribution + v.Gauge.Part.Contribution; math.Abs(sum-1) > 1e-12 {
			t.Errorf("contributions add up to %g", sum)
		}
		k := rapid.Float64Range(0.5, 3).Draw(t, "k")
		w, err := StudyByVariances(moved(c, k, 100), 0.05)
		if err != nil {
			t.Fatal(err)
		}
		r, err := StudyByRanges(c)
		if err != nil {
			t.Fatal(err)
		}
		q, _ := StudyByRanges(moved(c, k, 100))
		for _, pair := range [][2]Gauge{{v.Gauge, w.Gauge}, {r.Gauge, q.Gauge}} {
			// A component is a root of a difference, so that near nought it has
			// half the digits.
			for i, a := range []Spread{pair[0].Repeat, pair[0].Hands, pair[0].Gauge, pair[0].Part, pair[0].Total} {
				b := []Spread{pair[1].Repeat, pair[1].Hands, pair[1].Gauge, pair[1].Part, pair[1].Total}[i]
				if math.Abs(b.SD*b.SD-k*k*a.SD*a.SD) > 1e-11 {
					t.Errorf("spread %d: %g became %g with k = %g", i, a.SD, b.SD, k)
				}
			}
		}
	})
}

// Law: components of variance that were put into synthetic studies come out
// again on average, by either method. 400 studies of 8 parts, 3 persons and 3
// trials; the mean variance is within four of its own standard errors.
func TestLawStudiesFindWhatWasPutIn(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 14))
	const part, hands, both, repeat, studies = 1.0, 0.5, 0.4, 0.3, 400
	var got [4][]float64
	for range studies {
		c := make(Crossed, 8)
		var person [3]float64
		for j := range person {
			person[j] = hands * rng.NormFloat64()
		}
		for i := range c {
			p := part * rng.NormFloat64()
			c[i] = make([][]float64, 3)
			for j := range c[i] {
				pa := both * rng.NormFloat64()
				for range 3 {
					c[i][j] = append(c[i][j], p+person[j]+pa+repeat*rng.NormFloat64())
				}
			}
		}
		v, err := StudyByVariances(c, 1)
		if err != nil {
			t.Fatal(err)
		}
		// From the mean squares, so that what falls below nought is not cut.
		got[0] = append(got[0], v.Repeat.MeanSquare)
		got[1] = append(got[1], (v.Interaction.MeanSquare-v.Repeat.MeanSquare)/3)
		got[2] = append(got[2], (v.Persons.MeanSquare-v.Interaction.MeanSquare)/24)
		got[3] = append(got[3], (v.Parts.MeanSquare-v.Interaction.MeanSquare)/9)
		if !v.Negative {
			for i, s := range []Spread{v.Gauge.Repeat, v.Gauge.Interaction, v.Gauge.Hands, v.Gauge.Part} {
				if math.Abs(s.SD*s.SD-got[i][len(got[i])-1]) > 1e-12 {
					t.Fatalf("component %d: %g is not the root of %g", i, s.SD, got[i][len(got[i])-1])
				}
			}
		}
	}
	for i, want := range []float64{repeat * repeat, both * both, hands * hands, part * part} {
		m := mean(got[i])
		se := math.Sqrt(squares(less(got[i], m))/(studies-1)) / math.Sqrt(studies)
		if math.Abs(m-want) > 4*se {
			t.Errorf("component %d: %g on average, %g put in, standard error %g", i, m, want, se)
		}
	}
}

// checks are synthetic sessions: everybody every day, but for those left out.
func checks(rng *rand.Rand, persons, days int, hands, drift, repeat float64, out func(p, d int) bool) []Check {
	var list []Check
	day := make([]float64, days)
	for d := range day {
		day[d] = drift * rng.NormFloat64()
	}
	for p := range persons {
		hand := hands * rng.NormFloat64()
		for d := range day {
			if e := repeat * rng.NormFloat64(); !out(p, d) {
				list = append(list, Check{fmt.Sprint("p", p), fmt.Sprint("d", d), 2 + hand + day[d] + e})
			}
		}
	}
	return list
}

// Law: sessions with gaps give back on average the variances put in.
func TestLawSessionsFindWhatWasPutIn(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 35))
	const hands, drift, repeat, runs = 1.5, 2.0, 1.0, 150
	var got [3][]float64
	for range runs {
		s, err := CheckSessions(checks(rng, 4, 8, hands, drift, repeat, func(p, d int) bool { return (3*p+d)%5 == 0 }), "d1")
		if err != nil {
			t.Fatal(err)
		}
		for i, sd := range []float64{s.Repeat, s.Hands, s.Drift} {
			got[i] = append(got[i], sd*sd)
		}
	}
	// Cutting at nought lifts the mean of the components a little; with these
	// spreads it happens in few runs. Five standard errors hold that as well.
	for i, want := range []float64{repeat * repeat, hands * hands, drift * drift} {
		m := mean(got[i])
		se := math.Sqrt(squares(less(got[i], m))/(runs-1)) / math.Sqrt(runs)
		t.Logf("%g of %g, standard error %.2g", m, want, se)
		if math.Abs(m-want) > 5*se {
			t.Errorf("component %d: %g on average, %g put in, standard error %g", i, m, want, se)
		}
	}
}

// Law: with nobody missing the components are those of the two-way table, the
// bias in somebody's hands is row mean + column mean − grand mean, and adding a
// constant to one day moves that day's bias and the shift alone.
func TestLawSessionsComplete(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	const a, b = 3, 5
	list := checks(rng, a, b, 1, 1, 0.5, func(int, int) bool { return false })
	s, err := CheckSessions(list, "d2")
	if err != nil {
		t.Fatal(err)
	}
	var grand float64
	row, col := map[string]float64{}, map[string]float64{}
	for _, c := range list {
		grand += c.Error / (a * b)
		row[c.Person] += c.Error / b
		col[c.Day] += c.Error / a
	}
	var ssP, ssD, ssE float64
	for _, c := range list {
		ssP += math.Pow(row[c.Person]-grand, 2)
		ssD += math.Pow(col[c.Day]-grand, 2)
		ssE += math.Pow(c.Error-row[c.Person]-col[c.Day]+grand, 2)
	}
	ms := ssE / ((a - 1) * (b - 1))
	near(t, "repeat", s.Repeat, math.Sqrt(ms), 1e-12)
	near(t, "hands", s.Hands*s.Hands, math.Max(0, (ssP/(a-1)-ms)/b), 1e-12)
	near(t, "drift", s.Drift*s.Drift, math.Max(0, (ssD/(b-1)-ms)/a), 1e-12)
	near(t, "today", s.Today.Value, col["d2"], 1e-12)
	for i, p := range s.Persons {
		near(t, p, s.Each[i].Value, row[p]+col["d2"]-grand, 1e-12)
		near(t, p+" u", s.Each[i].SU, s.Repeat*math.Sqrt(1./a+1./b-1./(a*b)), 1e-12)
	}
	near(t, "shift", s.Shift.Value, col["d2"]-(b*grand-col["d2"])/(b-1), 1e-12)
	near(t, "shift u", s.Shift.SU, s.Repeat*math.Sqrt(1./a+1./(a*(b-1))), 1e-12)
	for i := range list {
		if list[i].Day == "d2" {
			list[i].Error += 7
		}
	}
	w, _ := CheckSessions(list, "d2")
	near(t, "moved shift", w.Shift.Value, s.Shift.Value+7, 1e-12)
	near(t, "moved repeat", w.Repeat, s.Repeat, 1e-12)
	near(t, "moved hands", w.Hands, s.Hands, 1e-9)
	near(t, "moved bias", w.Each[1].Value, s.Each[1].Value+7, 1e-12)
}

func TestRefusals(t *testing.T) {
	good := Crossed{{{1, 2}, {2, 4}}, {{3, 4}, {5, 5}}}
	flat := Crossed{{{1, 1}, {2, 2}}, {{3, 3}, {5, 5}}}
	study := func(c Crossed, alpha float64) error {
		_, err := StudyByVariances(c, alpha)
		if _, also := StudyByRanges(c); alpha == 0.05 && (also == nil) != (err == nil) && err != nil && !strings.Contains(err.Error(), "no value") {
			t.Errorf("the methods differ: %v, %v", err, also)
		}
		return err
	}
	sessions := func(today string, c ...Check) error {
		_, err := CheckSessions(c, today)
		return err
	}
	group := func(v ...[]float64) error {
		_, err := ChartOf(v)
		return err
	}
	able := func(tol Tolerance, confidence float64, v ...[]float64) error {
		_, err := CapabilityOf(v, tol, confidence)
		return err
	}
	nan := math.NaN()
	_, width := Gauge{}.OfTolerance(0)
	_, many := RangeOf(1001)
	for i, c := range []struct {
		err  error
		want string
	}{
		{study(good[:1], 0.05), "1 parts: at least 2"},
		{study(Crossed{{{1, 2}}, {{2, 3}}}, 0.05), "1 persons: at least 2"},
		{study(Crossed{{{1}, {2}}, {{2}, {3}}}, 0.05), "at least 2 are needed to know the repeat"},
		{study(Crossed{{{1, 2}, {2, 3}}, {{2, 3}}}, 0.05), "every person reads every part"},
		{study(Crossed{{{1, 2}, {2, 3}}, {{2, 3}, {4}}}, 0.05), "part 1, person 1 has 1"},
		{study(Crossed{{{1, 2}, {2, nan}}, {{2, 3}, {4, 5}}}, 0.05), "part 0, person 1, reading 1 is NaN"},
		{study(good, 2), "alpha of 2"},
		{study(flat, 0.05), "no cell has readings that differ"},
		{width, "tolerance of 0"},
		{many, "from 2 to 1000"},
		{sessions("b", Check{"x", "a", 1}, Check{"y", "a", 1}), "2 persons on 1 days"},
		{sessions("b", Check{"x", "a", 1}, Check{"x", "a", 1}), "checks twice"},
		{sessions("b", Check{"x", "a", nan}), "check 0 is NaN"},
		{sessions("c", Check{"x", "a", 1}, Check{"y", "a", 1}, Check{"x", "b", 1}, Check{"y", "b", 1}), "nobody checked"},
		{sessions("a", Check{"x", "a", 1}, Check{"y", "a", 1}, Check{"x", "b", 1}), "3 checks of 2 persons on 2 days: at least 4"},
		{sessions("a", Check{"x", "a", 1}, Check{"y", "a", 1}, Check{"z", "c", 1}, Check{"w", "c", 1}, Check{"x", "b", 1}, Check{"y", "b", 1}, Check{"z", "d", 1}, Check{"w", "d", 1}), "link the groups"},
		{group([]float64{1, 2}), "1 subgroups"},
		{group([]float64{1, 2}, []float64{1}), "subgroup 1 has 1"},
		{group([]float64{1, 2}, []float64{1, nan}), "subgroup 1, reading 1"},
		{group([]float64{1}, []float64{1}), "from 2 to 1000"},
		{able(Tolerance{2, 1, 0}, 0.9, []float64{1, 2}, []float64{1, 2}), "limits 2 and 1"},
		{able(Tolerance{1, 2, 0}, 1, []float64{1, 2}, []float64{1, 2}), "confidence of 1"},
		{able(Tolerance{1, 2, 0}, 0.9, []float64{1, 1}, []float64{2, 2}), "do not differ"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("case %d: %v, want %q", i, c.err, c.want)
		}
	}
	r, err := StudyByRanges(Crossed{{{1, 1}, {1, 1}}, {{3, 3}, {3, 3}}})
	if err != nil || !r.Perfect || r.Distinct != 0 {
		t.Errorf("a gauge without spread: %+v, %v", r, err)
	}
	if share, err := r.OfTolerance(0.1); err != nil || share != 0 {
		t.Errorf("share of tolerance %v, %v", share, err)
	}
}

// Law: the factors are the mean and deviation of ranges that are drawn.
func TestLawRangeFactors(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	for _, n := range []int{4, 40, 1000} {
		f, err := RangeOf(n)
		if err != nil {
			t.Fatal(err)
		}
		w := make([]float64, 200000/n)
		for i := range w {
			v := make([]float64, n)
			for j := range v {
				v[j] = rng.NormFloat64()
			}
			w[i] = span(v)
		}
		m, count := mean(w), float64(len(w))
		sd := math.Sqrt(squares(less(w, m)) / (count - 1))
		if math.Abs(m-f.D2) > 4*sd/math.Sqrt(count) || math.Abs(sd/f.D3-1) > 4/math.Sqrt(count) {
			t.Errorf("%d: drawn %g, %g, worked out %g, %g", n, m, sd, f.D2, f.D3)
		}
	}
}
