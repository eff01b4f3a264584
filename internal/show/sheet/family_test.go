package sheet

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
)

// nominal is a job in which every place that is measured reads its nominal, or
// 1 where it has none. Synthetic.
func nominal(t testing.TB, l *family.Layout, readings bool) *job.State {
	t.Helper()
	var rows []entry.Row
	add := func(kind entry.Kind, payload any) {
		n := len(rows) + 1
		e, err := entry.New(entry.JobStream("n"), entry.Key{byte(n), byte(n >> 8), 1}, kind, "p", "d", 1700000000000000+int64(n)*1e6, payload)
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, entry.Row{Entry: e, Seq: int64(n), Received: e.Time})
	}
	add(entry.JobOpened, job.OpenedV1{Job: "n", Title: "Nominal", Family: l.Family.ID})
	for i := range l.Places {
		c := l.Places[i].Char
		if !readings || c.Relation != "" {
			continue
		}
		r := job.ReadingV1{Position: l.Places[i].ID, State: "found", Typed: "1", Value: "1", Unit: c.Unit, PartTemp: "20.0", GaugeTemp: "20.0", Condition: c.Condition}
		switch {
		case c.Quantity == family.Check:
			r.Typed, r.Value = "pass", "pass"
		case !c.Nominal.IsZero():
			n, u, _ := strings.Cut(c.Nominal.String(), " ")
			r.Typed, r.Value, r.Unit = n, n, u
		}
		add(entry.Reading, r)
	}
	return job.Replay(rows)
}

// recordsOf makes the record and the plots of a family without readings and with
// a reading at every place, and returns the longer PDF.
func recordsOf(t *testing.T, lib *library.Library, l *family.Layout) []byte {
	t.Helper()
	var pdf []byte
	for _, readings := range []bool{false, true} {
		in := judged(t, lib, l, nominal(t, l, readings), &shop.State{}, "en")
		b, err := Record(in)
		if err != nil {
			t.Fatalf("%s: %v", l.Family.ID, err)
		}
		if !bytes.HasPrefix(b, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(b), []byte("%%EOF")) {
			t.Fatalf("%s: not a whole PDF", l.Family.ID)
		}
		for name, svg := range Plots(in) {
			if !bytes.HasPrefix(svg, []byte("<svg")) || strings.ContainsAny(name, "/\\ ") {
				t.Errorf("%s: plot %q", l.Family.ID, name)
			}
		}
		pdf = b
	}
	return pdf
}

// Law: every family makes a record, empty and full.
func TestEveryFamilyMakesARecord(t *testing.T) {
	lib := knowledge(t)
	names, err := filepath.Glob(data + "family/*.yaml")
	if err != nil || len(names) < 4 {
		t.Fatal("the families are not where they should be", err)
	}
	for _, n := range names {
		id := strings.TrimSuffix(filepath.Base(n), ".yaml")
		keep(t, id+".pdf", recordsOf(t, lib, familyOf(t, lib, id)))
	}
}

// Law: two runs give the same plots under the same names.
func TestPlotsAreTheSameTwice(t *testing.T) {
	a, b := Plots(demoInput(t, demoJobs(t)[0], "en")), Plots(demoInput(t, demoJobs(t)[0], "en"))
	if len(a) != len(b) || len(a) < 15 {
		t.Fatalf("%d and %d plots", len(a), len(b))
	}
	for _, want := range []string{"profile-block-bore-1.svg", "profile-block-bore-5.svg", "each-cylinder-compression-ratio.svg", "limits-block.svg", "limits-valvetrain.svg"} {
		if a[want] == nil {
			t.Errorf("no %s", want)
		}
	}
	for n := range a {
		if !bytes.Equal(a[n], b[n]) {
			t.Errorf("%s differs", n)
		}
	}
}
