package assess_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// The demonstration is the one place where what is judged can be held against
// what is so. Everything here is synthetic: the truth is invented, and neither
// the generator nor the truth knows the code under test.

// bench is one truth with the knowledge it is judged by.
type bench struct {
	truth demo.Truth
	lib   *library.Library
	l     *family.Layout
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("../../../data/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func truth(t testing.TB, name string) bench {
	t.Helper()
	files := library.Files{}
	for _, f := range []string{"sources.yaml", "materials.yaml", "instruments.yaml", "findings.yaml", "plan.csv", "words/en.yaml"} {
		files[f] = read(t, f)
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	tr, faults := demo.Load(name, read(t, "demo/"+name+".yaml"), "shop.yaml", read(t, "demo/shop.yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	l, faults := lib.Family(tr.Family, read(t, "family/"+tr.Family+".yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return bench{tr, lib, l}
}

func (b bench) judge(t testing.TB, seed uint64, move map[string]string) (*assess.Assessment, demo.Made) {
	t.Helper()
	m, faults := demo.Make(b.truth, b.l, b.lib, seed, move)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return b.evaluate(t, m), m
}

func (b bench) evaluate(t testing.TB, m demo.Made) *assess.Assessment {
	t.Helper()
	a, err := assess.Evaluate(assess.Knowledge{Library: b.lib, Layout: b.l},
		assess.Facts{Job: job.Replay(chain(m.Job)), Shop: shop.Replay(chain(m.Shop))}, assess.Plan{})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func chain(es []entry.Entry) []entry.Row {
	rows := make([]entry.Row, len(es))
	var prev entry.Hash
	for i := range es {
		rows[i] = entry.Row{Entry: es[i], Seq: int64(i) + 1, Received: es[i].Time, Prev: prev}
		rows[i].Hash = rows[i].Digest()
		prev = rows[i].Hash
	}
	return rows
}

func under(position, at string) bool { return position == at || strings.HasPrefix(position, at+"/") }

// check holds an assessment against what was planted: each expectation is met at
// its place, and nothing is rejected that nobody planted, whether its finding is
// of severity act or less.
func check(a *assess.Assessment, m demo.Made) []string {
	var wrong []string
	for _, e := range m.Expect {
		wrong = append(wrong, meets(a, e)...)
	}
	for _, f := range a.Findings {
		for _, v := range f.Evidence {
			if v.Verdict == assess.Reject && !planted(m.Expect, f.ID, v.Position) {
				wrong = append(wrong, fmt.Sprintf("%s (%s) at %s, %s %s, was not planted", f.ID, f.Severity, v.Position, v.Value, v.Unit))
			}
		}
	}
	return wrong
}

func planted(es []demo.Expectation, id, position string) bool {
	for _, e := range es {
		if e.Finding == id && under(position, e.At) {
			return true
		}
	}
	return false
}

// meets says in which respect an assessment fails one expectation.
func meets(a *assess.Assessment, e demo.Expectation) []string {
	var wrong []string
	say := func(format string, args ...any) {
		wrong = append(wrong, e.Plant+": "+fmt.Sprintf(format, args...))
	}
	if e.Verdict != "" {
		n := 0
		for i := range a.Values {
			if v := &a.Values[i]; under(v.Position, e.At) {
				n++
				if string(v.Verdict) != e.Verdict {
					say("%s is %s %s ± %s: %q, want %s", v.Position, v.Y, v.Unit, v.U, v.Verdict, e.Verdict)
				}
			}
		}
		if n == 0 {
			say("no value at %s", e.At)
		}
	}
	if e.Finding != "" && found(a, e) != e.Visible {
		say("finding %s at %s: visible must be %v", e.Finding, e.At, e.Visible)
	}
	if e.Question != "" && asked(a, e) != e.Visible {
		say("question %s at %s, answer %q: visible must be %v", e.Question, e.At, e.Answer, e.Visible)
	}
	return wrong
}

func found(a *assess.Assessment, e demo.Expectation) bool {
	for _, f := range a.Findings {
		for _, v := range f.Evidence {
			if f.ID == e.Finding && under(v.Position, e.At) && (e.Verdict == "" || string(v.Verdict) == e.Verdict) {
				return true
			}
		}
	}
	return false
}

func asked(a *assess.Assessment, e demo.Expectation) bool {
	for _, q := range a.Questions {
		if q.ID == e.Question && under(q.Position, e.At) && q.Answer == e.Answer {
			return true
		}
	}
	return false
}

var truths = []string{"2026-014", "2026-021"}

// doubts is how far measured values lie from the truth, in standard
// uncertainties.
type doubts struct {
	n, within int
	square    float64
}

// add takes every measured value of an assessment; readings whose slip was never
// put right are left out.
func (d *doubts) add(a *assess.Assessment, m demo.Made) []string {
	var wrong []string
	for i := range a.Values {
		v := &a.Values[i]
		size, ok := m.True[v.Position]
		if !ok || !v.Has || v.Derived || slipped(m.Expect, v.Position) {
			continue
		}
		k := math.Abs(v.SI-size) / v.SU
		d.n, d.square = d.n+1, d.square+k*k
		if k <= 2 {
			d.within++
		}
		if k > 5 {
			wrong = append(wrong, fmt.Sprintf("%s is %s %s ± %s, in truth %g", v.Position, v.Y, v.Unit, v.U, size))
		}
	}
	return wrong
}

// honest says whether the doubt is as large as it is stated: some 95 % of the
// values within two standard uncertainties, and a mean square near 1. Rounding
// to coarse steps and shared biases keep both from being exact.
func (d *doubts) honest() (string, bool) {
	share, mean := float64(d.within)/float64(d.n), d.square/float64(d.n)
	return fmt.Sprintf("%d values, %.1f %% within 2u, mean square %.2f", d.n, 100*share, mean),
		share > 0.94 && share < 0.975 && mean > 0.8 && mean < 1.2
}

// Law: over 20 seeds, everything planted that measurement can see is found at
// its place, nothing else is rejected, least of all with severity act, and the stated doubt is
// honest: no value lies beyond five standard uncertainties of the true size, and
// as many lie within two as there should.
func TestTruthTwentySeeds(t *testing.T) {
	for _, name := range truths {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := truth(t, name)
			var d doubts
			for seed := uint64(1); seed <= 20; seed++ {
				a, m := b.judge(t, seed, nil)
				for _, w := range append(check(a, m), d.add(a, m)...) {
					t.Errorf("seed %d: %s", seed, w)
				}
			}
			text, ok := d.honest()
			t.Log(text)
			if !ok {
				t.Error("the stated doubt is not that of the readings: " + text)
			}
		})
	}
}

// Law: the same with each plant moved to every other place that it can have, one
// plant at a time and each time with another seed.
func TestTruthMoved(t *testing.T) {
	for _, name := range truths {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := truth(t, name)
			seed := uint64(100)
			for i := range b.truth.Planted {
				p := &b.truth.Planted[i]
				for _, to := range elsewhere(b.l, p) {
					seed++
					a, m := b.judge(t, seed, map[string]string{p.ID: to})
					for _, w := range check(a, m) {
						t.Errorf("seed %d, %s moved to %s: %s", seed, p.ID, to, w)
					}
				}
			}
			if seed == 100 {
				t.Error("no plant can be moved")
			}
		})
	}
}

// elsewhere lists the other places of a plant: every other value of its first
// dimension, and with each the value of the second that follows the one it has.
func elsewhere(l *family.Layout, p *demo.Plant) []string {
	if len(p.Over) == 0 {
		return nil
	}
	here := strings.Split(p.Place, "/")
	var out []string
	for _, v := range l.Dims[p.Over[0]].Values {
		if v == here[0] {
			continue
		}
		to := []string{v}
		for k, dim := range p.Over[1:] {
			values := l.Dims[dim].Values
			at := 0
			for i, w := range values {
				if w == here[k+1] {
					at = i
				}
			}
			to = append(to, values[(at+len(out)+1)%len(values)])
		}
		out = append(out, strings.Join(to, "/"))
	}
	return out
}

// Law: the plants are what is found. Without them nothing is rejected.
func TestTruthHealthyEngineIsHealthy(t *testing.T) {
	for _, name := range truths {
		b := truth(t, name)
		b.truth.Planted = nil
		for seed := uint64(1); seed <= 5; seed++ {
			a, m := b.judge(t, seed, nil)
			for _, w := range check(a, m) {
				t.Errorf("%s, seed %d: %s", name, seed, w)
			}
		}
	}
}

// Law: where no certificate is known, as with a file of readings alone, the doubt
// of the gauge types carries the same conclusions.
func TestTruthWithoutCertificates(t *testing.T) {
	for _, name := range truths {
		b := truth(t, name)
		for seed := uint64(1); seed <= 5; seed++ {
			m, faults := demo.Make(b.truth, b.l, b.lib, seed, nil)
			if len(faults) > 0 {
				t.Fatal(faults)
			}
			var bare []entry.Entry
			for _, e := range m.Shop {
				if e.Kind != entry.Calibrated {
					bare = append(bare, e)
				}
			}
			m.Shop = bare
			for _, w := range check(b.evaluate(t, m), m) {
				t.Errorf("%s, seed %d: %s", name, seed, w)
			}
		}
	}
}

func slipped(es []demo.Expectation, position string) bool {
	for _, e := range es {
		if e.Question == assess.DigitSwap && under(position, e.At) {
			return true
		}
	}
	return false
}
