package gallery

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
	"fettle/internal/show/view"
)

// data is the knowledge folder of the repository.
const data = "../../../../data"

// shelf is the real knowledge.
type shelf struct {
	lib   *library.Library
	files library.Files
}

func newShelf(t testing.TB) *shelf {
	t.Helper()
	files := library.Files{}
	for _, dir := range []string{"", "words", "family"} {
		list, err := os.ReadDir(filepath.Join(data, dir))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range list {
			if name := filepath.ToSlash(filepath.Join(dir, f.Name())); !f.IsDir() && (strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".csv")) {
				files[name] = read(t, name)
			}
		}
	}
	lib, faults := library.Read(files, compute.Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if faults := lib.AllFamilies(files); len(faults) > 0 {
		t.Fatal(faults)
	}
	return &shelf{lib, files}
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(data, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// demo is one of the two jobs of the demonstration, as its logs hold it.
func (s *shelf) demo(t testing.TB, id string) (*job.State, *shop.State) {
	t.Helper()
	truth, faults := demo.Load(id+".yaml", read(t, "demo/"+id+".yaml"), "shop.yaml", read(t, "demo/shop.yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	made, faults := demo.Make(truth, s.lib.Families[truth.Family], s.lib, uint64(truth.Seed), nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return job.Replay(rows(made.Job)), shop.Replay(rows(made.Shop))
}

// rows chains entries as a store would.
func rows(list []entry.Entry) []entry.Row {
	out := make([]entry.Row, len(list))
	var prev entry.Hash
	for i, e := range list {
		out[i] = entry.Row{Entry: e, Seq: int64(i) + 1, Received: e.Time, Prev: prev}
		out[i].Hash = out[i].Digest()
		prev = out[i].Hash
	}
	return out
}

// judge evaluates and makes the case that pages speak of.
func (s *shelf) judge(t testing.TB, l *family.Layout, j *job.State, sh *shop.State) *view.Case {
	t.Helper()
	a, err := assess.Evaluate(assess.Knowledge{Library: s.lib, Layout: l}, assess.Facts{Job: j, Shop: sh}, assess.Plan{})
	if err != nil {
		t.Fatal(err)
	}
	return view.NewCase(a, l, s.lib, j, sh, sketch())
}

// when is the time at which canned entries were made.
func when() int64 { return time.Date(2026, 11, 24, 9, 30, 0, 0, time.UTC).UnixMicro() }

// log makes a job's entries from payloads, one a second.
type log struct {
	t      testing.TB
	stream string
	list   []entry.Entry
}

func newLog(t testing.TB, l *family.Layout, id, title string) *log {
	g := &log{t: t, stream: entry.JobStream(id)}
	g.add(entry.JobOpened, job.OpenedV1{Job: id, Title: title, Family: l.Family.ID, Invented: true})
	return g
}

func (g *log) add(kind entry.Kind, payload any) entry.Key {
	g.t.Helper()
	var k entry.Key
	n := len(g.list) + 1
	k[0], k[14], k[15] = 7, byte(n>>8), byte(n)
	e, err := entry.New(g.stream, k, kind, "p-1", "page", when()+int64(n)*1e6, payload)
	if err != nil {
		g.t.Fatal(err)
	}
	g.list = append(g.list, e)
	return k
}

func (g *log) state() *job.State { return job.Replay(rows(g.list)) }
