package assess

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// shipped reads the knowledge folder of this repository and one family of it.
func shipped(t testing.TB, id string) Knowledge {
	t.Helper()
	root := filepath.Join("..", "..", "..", "data")
	files := library.Files{}
	err := filepath.WalkDir(root, func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		if e := filepath.Ext(name); e == ".yaml" || e == ".csv" {
			b, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			rel, err := filepath.Rel(root, name)
			files[filepath.ToSlash(rel)] = b
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	lib, faults := library.Read(files, compute.NewRegister().Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	lay, faults := lib.Family("family/"+id+".yaml", files["family/"+id+".yaml"])
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return Knowledge{Library: lib, Layout: lay}
}

// nominal enters every measured position once, at its nominal size.
func nominal(t testing.TB, l *family.Layout) *job.State {
	t.Helper()
	var rows []entry.Row
	for i := range l.Places {
		p := &l.Places[i]
		if p.Char.Relation != "" {
			continue
		}
		r := job.ReadingV1{Position: p.ID, State: job.Found, Typed: "pass", Value: "pass", Condition: p.Char.Condition, PartTemp: "20.0", GaugeTemp: "20.0"}
		if p.Char.Quantity != family.Check {
			n := p.Char.Nominal
			r.Typed, r.Value, r.Unit, r.Gauge = n.Text, n.Text, n.Unit, p.Char.Gauges[0]
		}
		e, err := entry.New(entry.JobStream("1"), entry.Key{byte(i), byte(i >> 8), 1}, entry.Reading, "AK", "test", noon, r)
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, entry.Row{Entry: e, Seq: int64(len(rows) + 1)})
	}
	return job.Replay(rows)
}

// Law: an engine measured at nominal everywhere has no finding of severity act,
// whatever the family.
func TestLawNominalEngineIsSound(t *testing.T) {
	for _, id := range []string{"corran-24-5", "tarn-32-6", "skerry-40-8", "brae-05-1"} {
		k := shipped(t, id)
		a, err := Evaluate(k, Facts{Job: nominal(t, k.Layout), Shop: &shop.State{}}, Plan{})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range a.Findings {
			if f.Verdict == Reject || f.Severity == "act" {
				t.Errorf("%s at nominal: %s on %s: %+v", id, f.ID, f.Part, f.Evidence[f.Worst])
			}
		}
		for i := range a.Values {
			if v := &a.Values[i]; v.Verdict == Unmeasured {
				t.Errorf("%s: %s is unmeasured: %v %v", id, v.Position, v.Why, v.Missing)
			}
		}
		t.Logf("%s: %d readings, %d derived, %d undecided, %d questions, %d without limit", id, a.Tally.Readings, a.Tally.Derived, a.Tally.Undecided, len(a.Questions), a.Tally.NoLimit)
		if testing.Verbose() {
			seen := map[string]bool{}
			for i := range a.Values {
				if v := &a.Values[i]; v.Verdict == Undecided && !seen[v.Place.Char.ID] {
					seen[v.Place.Char.ID] = true
					t.Log("undecided at nominal:", strings.Join([]string{v.Position, v.Y, v.Unit, "±", v.Expanded, v.UUnit, v.Limit.Min, v.Limit.Max}, " "))
				}
			}
		}
	}
}

func BenchmarkEvaluate(b *testing.B) {
	k := shipped(b, "tarn-32-6")
	f := Facts{Job: nominal(b, k.Layout), Shop: &shop.State{}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Evaluate(k, f, Plan{}); err != nil {
			b.Fatal(err)
		}
	}
}
