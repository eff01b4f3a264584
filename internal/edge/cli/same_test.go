package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
	"fettle/internal/know/library"
)

// evaluated runs fettle evaluate and returns every file it wrote, by its path
// within the folder.
func evaluated(t *testing.T, family, csv string) map[string][]byte {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "out")
	if code, _, e := run(t, "", "evaluate", "--family", family, "--readings", csv, "--out", dir); code != 0 {
		t.Fatalf("exit %d: %s", code, e)
	}
	files := map[string][]byte{}
	err := filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, name)
		if err != nil {
			return err
		}
		files[filepath.ToSlash(rel)], err = os.ReadFile(name)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func exported(t *testing.T, job string) string {
	t.Helper()
	csv := filepath.Join(t.TempDir(), "readings.csv")
	if code, _, e := run(t, "", "demo", "--export", csv, "--job", job); code != 0 {
		t.Fatal(e)
	}
	return csv
}

// Law: the same readings give the same bytes of every file, also in a process
// that has done other work between.
func TestSameReadingsGiveTheSameFiles(t *testing.T) {
	csv := exported(t, "2026-014")
	corran := filepath.Join("..", "..", "..", "data", "family", "corran-24-5.yaml")
	first := evaluated(t, corran, csv)
	evaluated(t, flatFour, flatFourReadings)
	second := evaluated(t, corran, csv)
	if len(first) < 20 || !slices.Equal(sorted(first), sorted(second)) {
		t.Fatalf("%v and %v", sorted(first), sorted(second))
	}
	for name := range first {
		if !bytes.Equal(first[name], second[name]) {
			t.Errorf("%s: %s", name, difference(first[name], second[name]))
		}
	}
}

// difference shows where two texts part.
func difference(a, b []byte) string {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	return string(a[max(0, i-60):min(len(a), i+60)]) + "\nagainst\n" + string(b[max(0, i-60):min(len(b), i+60)])
}

// shopFloor is a store with an open job.
func shopFloor(t *testing.T, lib *library.Library, opened job.OpenedV1) (*bench.Bench, context.Context) {
	t.Helper()
	ctx := context.Background()
	clock := func() time.Time { return time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC) } // long after the readings
	st, err := store.Open(ctx, t.TempDir(), clock)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	b := bench.New(st, lib, clock)
	if _, err := b.Open(ctx, opened, "", "test", entry.Key{1}); err != nil {
		t.Fatal(err)
	}
	return b, ctx
}

func judged(t *testing.T, b *bench.Bench, id string) []byte {
	t.Helper()
	j, err := b.Judge(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	out, err := json.Marshal(j.Assessment)
	if err != nil {
		t.Fatal(err)
	}
	return append(out, '\n')
}

// Law: the same readings give the same assessment, byte for byte, whether a
// headless run read them from a file, the workshop's store took the file in, or
// they were typed one after another, in another order, each with a key of its
// own.
func TestSameReadingsByEveryRoad(t *testing.T) {
	lib := knowledge(t)
	for _, c := range []struct{ family, csv string }{
		{flatFour, flatFourReadings},
		{filepath.Join("..", "..", "..", "data", "family", "corran-24-5.yaml"), exported(t, "2026-014")},
	} {
		text, err := os.ReadFile(c.csv)
		if err != nil {
			t.Fatal(err)
		}
		yaml, err := os.ReadFile(c.family)
		if err != nil {
			t.Fatal(err)
		}
		l, faults := lib.Family(c.family, yaml)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		headless := evaluated(t, c.family, c.csv)["assessment.json"]
		sh, faults := readings.Parse("readings.csv", text, l, nil)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		opened := job.OpenedV1{Job: sh.Job, Title: sh.Title, Family: l.Family.ID}

		b, ctx := shopFloor(t, lib, opened)
		if _, err := b.Take(ctx, sh.Job, "readings.csv", text); err != nil {
			t.Fatal(err)
		}
		if got := judged(t, b, sh.Job); !bytes.Equal(got, headless) {
			t.Errorf("%s: taken in: %s", sh.Job, difference(got, headless))
		}

		if len(sh.Readings) > 500 {
			continue // one write each would take too long here
		}
		b, ctx = shopFloor(t, lib, opened)
		people, err := sh.ShopEntries()
		if err != nil {
			t.Fatal(err)
		}
		if err := b.AppendShop(ctx, people); err != nil {
			t.Fatal(err)
		}
		for i := range sh.Readings {
			r := sh.Readings[len(sh.Readings)-1-i] // the last first
			in := bench.Reading{Job: sh.Job, Position: r.Position, State: r.State, Value: r.Value, Unit: r.Unit, Gauge: r.Gauge, Master: r.Master,
				PartTemp: r.PartTemp, GaugeTemp: r.GaugeTemp, Condition: r.Condition, Note: r.Note, Person: r.Person, Device: "page",
				Key: entry.Key{byte(i), byte(i >> 8), 7}, Time: r.Time}
			if _, err := b.RecordReading(ctx, in); err != nil {
				t.Fatalf("%s: %v", r.Position, err)
			}
		}
		if got := judged(t, b, sh.Job); !bytes.Equal(got, headless) {
			t.Errorf("%s: typed: %s", sh.Job, difference(got, headless))
		}
	}
}
