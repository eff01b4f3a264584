package assess

import (
	"fmt"
	"testing"

	"fettle/internal/facts/job"
	"fettle/internal/know/family"
)

// Everything in these laws is synthetic.

// Law: a rejected size with one reading asks for a second; one that agrees
// within a quarter of the tolerance ends the question, one that does not leaves
// it, and a third that agrees with either ends it.
func TestLawSecondReading(t *testing.T) {
	k := tiny(t)
	for _, c := range []struct {
		name  string
		reads []string
		want  bool
	}{
		{"one", []string{"80.120"}, true},
		{"two that agree", []string{"80.120", "80.121"}, false},
		{"two that do not", []string{"80.120", "80.102"}, true},
		{"a third that agrees with the second", []string{"80.120", "80.102", "80.103"}, false},
	} {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.owns("B1", "bore-gauge", "M1")
		for _, v := range c.reads {
			b.sees(job.ReadingV1{Position: "block/bore/1/H2/P", Value: v, Gauge: "B1"})
		}
		a := b.assess(k)
		if v, _ := a.Find("block/bore/1/H2/P", job.Found); v.Verdict != Reject || a.Agreed(v) == c.want {
			t.Errorf("%s: %s, agreed %v", c.name, v.Verdict, a.Agreed(v))
		}
		got := has(a, SecondReading, "block/bore/1/H2/P")
		if len(c.reads) == 2 && c.want {
			got = got || has(a, Disagrees, "block/bore/1/H2/P")
		}
		if got != c.want {
			t.Errorf("%s: asked %v, want %v: %v", c.name, got, c.want, asks(a, "block/bore/1/H2/P"))
		}
	}
}

func has(a *Assessment, id, position string) bool {
	for _, q := range a.Questions {
		if q.ID == id && q.Position == position {
			return true
		}
	}
	return false
}

// Law: a size that is accepted asks for no second reading; and one finding asks
// once, however many of its places are out.
func TestLawSecondReadingOnceAFinding(t *testing.T) {
	k := tiny(t)
	for _, c := range []struct {
		value string
		most  int
	}{{"80.008", 0}, {"80.120", 1}} {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.owns("B1", "bore-gauge", "M1")
		for _, h := range []string{"H1", "H2", "H3"} {
			for _, x := range []string{"T", "P"} {
				b.sees(job.ReadingV1{Position: "block/bore/1/" + h + "/" + x, Value: c.value, Gauge: "B1"})
			}
		}
		a, n, findings := b.assess(k), 0, 0
		for _, q := range a.Questions {
			if q.ID == SecondReading {
				n++
			}
		}
		for _, f := range a.Findings {
			if f.Verdict == Reject {
				findings++
			}
		}
		if n != c.most || (findings > 0) != (c.most > 0) {
			t.Errorf("%s everywhere: %d questions for %d findings, want %d", c.value, n, findings, c.most)
		}
	}
}

// Law: what was read twice alike was not mistyped: it is no outlier. A turn of
// the thimble can be wrong twice over.
func TestLawSecondLookAnswers(t *testing.T) {
	k := tinyWith(t, "- {id: micrometer, name: {en: Micrometer}", "- {id: micrometer, turn: 0.5 mm, name: {en: Micrometer}")
	for _, c := range []struct {
		reads []string
		want  string
	}{
		{[]string{"94.990"}, "[digit-swap]"},
		{[]string{"94.990", "94.991"}, "[]"},
		{[]string{"49.490", "49.491"}, "[thimble-turn thimble-turn]"},
	} {
		b := open(t)
		b.owns("M1", "micrometer", "")
		for _, v := range c.reads {
			b.sees(job.ReadingV1{Position: "crank/main/1", Value: v, Gauge: "M1"})
		}
		if got := fmt.Sprint(asks(b.assess(k), "crank/main/1")); got != c.want {
			t.Errorf("%v: %s, want %s", c.reads, got, c.want)
		}
	}
}

// Law: a number in another unit, a moved mark, and a digit more or less than the gauge gives, are named as
// what they are; a number with fewer digits that lies where it should is not
// asked about.
func TestLawDigitsAndMarks(t *testing.T) {
	k := tiny(t)
	for _, c := range []struct{ value, want string }{
		{"49990", "wrong-unit"},
		{"4.9990", "mark-moved"},
		{"499.90", "mark-moved"},
		{"49.99", ""},
		{"49.9", "decimals"},
		{"50.0912", "decimals"},
	} {
		b := open(t)
		b.owns("M1", "micrometer", "")
		b.sees(job.ReadingV1{Position: "crank/main/1", Value: c.value, Gauge: "M1"})
		got := ""
		for _, q := range b.assess(k).Questions {
			if q.Position == "crank/main/1" && q.ID != SecondReading {
				got = q.ID
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.value, got, c.want)
		}
	}
}

// Law: where bores are oval one way, one that is oval the other way is asked
// about, and only that one; where they are round, or one is more oval the same
// way, none is.
func TestLawAxesExchanged(t *testing.T) {
	for _, c := range []struct{ wide, odd, t, p, want string }{
		{"30.020", "2", "30.000", "30.020", "piston/flank/2"},
		{"30.002", "2", "30.000", "30.002", ""},
		{"30.020", "2", "30.060", "30.000", ""}, // more oval, but the same way
		{"30.020", "", "", "", ""},
	} {
		b := open(t)
		b.owns("B1", "micrometer", "")
		kk := axes(t)
		for _, n := range []string{"1", "2", "3", "4", "5"} {
			wide, small := c.wide, "30.000"
			if n == c.odd {
				wide, small = c.t, c.p
			}
			b.sees(job.ReadingV1{Position: "piston/flank/" + n + "/T", Value: wide, Gauge: "B1"})
			b.sees(job.ReadingV1{Position: "piston/flank/" + n + "/P", Value: small, Gauge: "B1"})
		}
		got := ""
		for _, q := range b.assess(kk).Questions {
			if q.ID == AxisExchanged {
				got += q.Position
			}
		}
		if want := c.want; want != "" && got != want+"/T" || want == "" && got != "" {
			t.Errorf("%+v: %q", c, got)
		}
	}
}

// axes is the tiny engine with a characteristic on both axes of five places.
func axes(t *testing.T) Knowledge {
	t.Helper()
	return tinyWith(t, "cam_journals: 3", "cam_journals: 5", "- id: piston/clearance", flanks("cam-journal, axis", "  nominal: 30.000 mm\n  limits:\n"+limit("reuse", "", "min: 29.900 mm, max: 30.100 mm")))
}

// Law: the narrowest limit that leans on a place without limits is its
// tolerance.
func TestLawToleranceOfWhatLeansOnIt(t *testing.T) {
	k := tiny(t)
	e := &evaluation{Knowledge: k}
	e.widths()
	for i := range k.Layout.Places {
		p := &k.Layout.Places[i]
		if own := span(p.Used, p.Char.Nominal); own > 0 && e.width[i] != own {
			t.Errorf("%s: %g, its limit is %g wide", p.ID, e.width[i], own)
		}
		if p.Char.Relation == "" || p.Used == nil && p.New == nil || e.width[i] == 0 {
			continue
		}
		for _, in := range p.In {
			for _, q := range in.Places {
				r := &k.Layout.Places[q]
				if r.Char.Quantity != family.Check && r.Char.Quantity == p.Char.Quantity && e.width[q] == 0 {
					t.Errorf("%s has none though %s leans on it", r.ID, p.ID)
				}
			}
		}
	}
}
