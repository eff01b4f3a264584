package study

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// rows reads the cells below the header of a published table.
func rows(t *testing.T, name string) [][]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	var out [][]string
	for _, l := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if !strings.HasPrefix(l, "#") {
			out = append(out, strings.Split(l, ","))
		}
	}
	return out[1:]
}

func number(t *testing.T, cell string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	t.Logf("%s: off by %.1e", what, math.Abs(got-want))
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, published %.10g: off by %.2g, allowed %g", what, got, want, math.Abs(got-want), tol)
	}
}

func crossed(t *testing.T) Crossed {
	t.Helper()
	c := make(Crossed, 10)
	for i := range c {
		c[i] = make([][]float64, 3)
	}
	n := 0
	for _, r := range rows(t, "grr_crossed.csv") {
		part, person := int(number(t, r[0]))-1, int(r[1][0]-'A')
		c[part][person] = append(c[part][person], number(t, r[3]))
		n++
	}
	if n != 90 {
		t.Fatalf("%d readings", n)
	}
	return c
}

// Published (GRR-01): AIAG, Measurement Systems Analysis, 4th ed. (2010),
// chapter III B, tables of the analysis of variance. Tolerances: one unit of
// the last place of the recomputed figures; the manual prints 4 to 6 decimals.
func TestPublishedStudyByVariances(t *testing.T) {
	v, err := StudyByVariances(crossed(t), 0.05)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range []Source{v.Parts, v.Persons, v.Interaction, v.Repeat, v.Total} {
		near(t, "SS", s.SumOfSquares, []float64{88.361934, 3.1672622, 0.35898222, 2.7589333, 94.647112}[i], 1e-6)
		if want := []int{9, 2, 18, 60, 89}[i]; s.DF != want {
			t.Errorf("line %d: %d degrees of freedom, published %d", i, s.DF, want)
		}
	}
	near(t, "F interaction", v.Interaction.F, 0.433721, 1e-6)
	near(t, "P interaction", v.Interaction.P, 0.974106, 1e-6)
	near(t, "F part", v.Parts.F, 492.2914, 1e-4)
	near(t, "F person", v.Persons.F, 79.40605, 1e-4)
	if !v.Pooled || v.Negative {
		t.Errorf("pooled %v, negative %v: the manual pools, and nothing is below nought", v.Pooled, v.Negative)
	}
	g := v.Gauge
	for i, s := range []Spread{g.Repeat, g.Hands, g.Gauge, g.Part, g.Total} {
		near(t, "SD", s.SD, []float64{0.19993318, 0.22683752, 0.30237152, 1.0423275, 1.0852996}[i], 2e-6)
		near(t, "% contribution", 100*s.Contribution, []float64{3.39368, 4.36848, 7.76216, 92.2378, 100}[i], 1e-3)
		near(t, "% variation", 100*s.Variation, []float64{18.4219, 20.9009, 27.8607, 96.0405, 100}[i], 1e-3)
	}
	near(t, "ndc", g.Distinct, 4.86052, 1e-4)
	if g.Categories != 4 {
		t.Errorf("%d categories, published 4", g.Categories)
	}
	kept, err := StudyByVariances(crossed(t), 1)
	if err != nil || kept.Pooled {
		t.Fatalf("pooled at alpha 1: %v", err)
	}
	near(t, "EV, interaction kept", kept.Gauge.Repeat.SD, 0.21443466, 1e-6)
	if !kept.Negative || kept.Gauge.Interaction.SD != 0 {
		t.Errorf("kept: %+v: F below one makes the variance of the interaction negative", kept)
	}
}

// Published (GRR-02): the same study by average and range. Printed results from
// memory, recomputed from the data with the printed factors.
func TestPublishedStudyByRanges(t *testing.T) {
	r, err := StudyByRanges(crossed(t))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.184, 0.513, 0.328} {
		near(t, "mean range", r.MeanRange[i], want, 1e-6)
	}
	near(t, "grand range", r.GrandRange, 0.3416667, 1e-6)
	near(t, "X diff", r.Difference, 0.4446667, 1e-6)
	near(t, "R p", r.PartRange, 3.511111, 1e-6)
	for i, k := range []float64{r.K1, r.K2, r.K3} {
		near(t, "K", k, []float64{0.5908, 0.5231, 0.3146}[i], 0)
	}
	g := r.Gauge
	for i, s := range []Spread{g.Repeat, g.Hands, g.Gauge, g.Part, g.Total} {
		near(t, "SD", s.SD, []float64{0.2018567, 0.229667, 0.3057663, 1.104596, 1.146135}[i], 1e-5)
		near(t, "% variation", 100*s.Variation, []float64{17.612, 20.0384, 26.678, 96.3757, 100}[i], 2e-3)
	}
	near(t, "ndc", g.Distinct, 5.09369, 1e-4)
	if g.Categories != 5 {
		t.Errorf("%d categories, published 5", g.Categories)
	}
}

// Published: factors d₂ and d₃ as in CAP-01 for 5 readings; closed forms for 2
// and 3 readings, d₂ = 2/√π and 3/√π; printed tables of d₂ for 10 and 25, from
// memory, to their 3 decimals.
func TestPublishedRangeFactors(t *testing.T) {
	for _, c := range []struct {
		n            int
		d2, d3, tol2 float64
	}{
		{2, 2 / math.Sqrt(math.Pi), math.Sqrt(2 - 4/math.Pi), 1e-12},
		{3, 3 / math.Sqrt(math.Pi), 0.8883680, 1e-12},
		{5, 2.325929, 0.8640819, 5e-7},
		{10, 3.078, 0.797, 5e-4},
		{25, 3.931, 0.708, 5e-4},
	} {
		f, err := RangeOf(c.n)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "d2", f.D2, c.d2, c.tol2)
		near(t, "d3", f.D3, c.d3, max(1e-7, c.tol2))
	}
}

func rings(t *testing.T) [][]float64 {
	t.Helper()
	var out [][]float64
	for _, r := range rows(t, "piston_rings.csv") {
		var g []float64
		for _, cell := range r[1:] {
			g = append(g, number(t, cell))
		}
		out = append(out, g)
	}
	return out
}

// Published (CAP-01): D.C. Montgomery, Introduction to Statistical Quality
// Control, 2nd ed. (1991), pp. 206-213. The book prints 3 digits; the figures
// here were recomputed from its rows, tolerances as stated with them.
func TestPublishedCapability(t *testing.T) {
	groups := rings(t)
	if len(groups) != 25 {
		t.Fatalf("%d subgroups", len(groups))
	}
	c, err := ChartOf(groups)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "grand mean", c.Mean, 74.001176, 1e-7)
	near(t, "mean range", c.MeanRange, 0.02276, 1e-7)
	near(t, "sigma", c.Sigma, 0.009785337, 1e-8)
	near(t, "mean low", c.MeanLow, 73.9880476, 1e-6)
	near(t, "mean high", c.MeanHigh, 74.0143044, 1e-6)
	near(t, "range low", c.RangeLow, 0, 0)
	near(t, "range high", c.RangeHigh, 0.048126, 1e-6)
	if len(c.MeansOut) != 0 || len(c.RangesOut) != 0 {
		t.Errorf("out: means %v, ranges %v; the book has the process in control", c.MeansOut, c.RangesOut)
	}
	k, err := CapabilityOf(groups, Tolerance{73.95, 74.05, 74}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for i, got := range []float64{k.Cp, k.Cpl, k.Cpu, k.Cpk, k.Cpm, k.CpLow, k.CpHigh, k.Pp, k.Ppk} {
		near(t, "index", got, []float64{1.70323, 1.74329, 1.66317, 1.66317, 1.69106, 1.49137, 1.91477, 1.65509, 1.61616}[i], 1e-5)
	}
}
