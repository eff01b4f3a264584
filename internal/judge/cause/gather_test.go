package cause

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
)

const data = "../../../data"

// demoJob is a job of the demonstration, judged.
func demoJob(t *testing.T, id string) Facts {
	t.Helper()
	files := library.Files{}
	for _, dir := range []string{"", "words", "family"} {
		list, err := os.ReadDir(filepath.Join(data, dir))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range list {
			name := filepath.ToSlash(filepath.Join(dir, f.Name()))
			if strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".csv") {
				if files[name], err = os.ReadFile(filepath.Join(data, name)); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	lib, faults := library.Read(files, compute.Signature)
	if faults = append(append(faults, lib.AllFamilies(files)...), lib.Guides()...); len(faults) > 0 {
		t.Fatal(faults)
	}
	text := func(name string) []byte {
		b, err := os.ReadFile(filepath.Join(data, "demo", name))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	truth, faults := demo.Load(id+".yaml", text(id+".yaml"), "shop.yaml", text("shop.yaml"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	l := lib.Families[truth.Family]
	made, faults := demo.Make(truth, l, lib, uint64(truth.Seed), nil)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	f := Facts{Layout: l, Kinds: lib.Observations(), Failures: lib.Failures(), Job: job.Replay(rows(made.Job))}
	a, err := assess.Evaluate(assess.Knowledge{Library: lib, Layout: l}, assess.Facts{Job: f.Job, Shop: shop.Replay(rows(made.Shop))}, assess.Plan{})
	if err != nil {
		t.Fatal(err)
	}
	f.Assessment = a
	return f
}

func rows(list []entry.Entry) []entry.Row {
	out := make([]entry.Row, len(list))
	for i, e := range list {
		out[i] = entry.Row{Entry: e, Seq: int64(i) + 1}
	}
	return out
}

func find(list []Found, sign string) *Found {
	if i := slices.IndexFunc(list, func(f Found) bool { return f.Sign == sign }); i >= 0 {
		return &list[i]
	}
	return nil
}

// with is the job after more was seen.
func (f Facts) with(list ...job.ObservationV2) Facts {
	st := *f.Job
	st.Observations = slices.Clip(st.Observations)
	for _, o := range list {
		st.Observations = append(st.Observations, job.Observed{ObservationV2: o})
	}
	f.Job = &st
	return f
}

// Law: what was seen on the demonstration becomes signs with their places: on
// cylinder 4 alone, on the upper half, with the others looked at; what was
// looked for and is not there is absent; what nobody looked at is nothing. A
// verdict counts as much as an observation.
func TestGatherTheDemo(t *testing.T) {
	f := demoJob(t, "2026-014")
	found := Gather(f)
	copper := find(found, "shells-copper")
	if copper == nil || !copper.There || !slices.Equal(copper.Patterns, []string{One}) || !slices.Equal(copper.Halves, []string{"upper"}) || len(copper.Open) != 0 {
		t.Errorf("copper: %+v", copper)
	}
	if !slices.Contains(copper.Parts, "shell-pin/4/upper") || !slices.Contains(copper.Parts, "shell-pin/overlay/4/upper") {
		t.Errorf("copper is shown by %v", copper.Parts)
	}
	for sign, there := range map[string]bool{"tunnel-off": true, "head-warped": true, "chain-long": true, "phaser-play": true, "rod-bolts-long": true,
		"bore-step": true, "valve-bent": true, "shells-embedded": false, "bridge-blown": false, "bore-lapped": false, "rod-bent": false, "housing-oval": false} {
		if s := find(found, sign); s == nil || s.There != there {
			t.Errorf("%s: %+v", sign, s)
		}
	}
	for _, sign := range []string{"crown-melted", "line-chafed", "pieces-in-sump", "rings-butted"} {
		if s := find(found, sign); s != nil {
			t.Errorf("%s: nobody looked, but %+v", sign, s)
		}
	}
	first := map[string]string{}
	for _, a := range Of(f).Areas {
		first[a.Area] = a.Causes[0].Mode
	}
	// What the truth file plants: a bent valve without a print, a worn chain, a
	// bore worn at the ring reversal, a head hollow at a bridge that leaks.
	if first["pistons"] != "worn-bores" || first["valves"] != "chain" || first["gasket"] != "coolant-leak" {
		t.Errorf("%v", first)
	}
}

// Law: not said where, the pattern is open; said of one place without a word on
// the others, open as well; a later look takes an earlier one back.
func TestGatherPlaces(t *testing.T) {
	f := demoJob(t, "2026-021")
	base := find(Gather(f), "shells-wiped")
	if base != nil {
		t.Fatalf("%+v", base)
	}
	wiped := func(part string) job.ObservationV2 {
		return job.ObservationV2{Part: part, Kind: "wiped", Severity: "light"}
	}
	if s := find(Gather(f.with(wiped("shell-pin"))), "shells-wiped"); s == nil || !s.There || s.Patterns != nil {
		t.Errorf("nobody said where: %+v", s)
	}
	s := find(Gather(f.with(wiped("shell-pin/2/lower"))), "shells-wiped")
	if s == nil || !slices.Equal(s.Patterns, Patterns()) || len(s.Open) != 5 {
		t.Errorf("one place: %+v", s)
	}
	one := wiped("shell-pin/2/lower")
	one.Others = true
	if s := find(Gather(f.with(one)), "shells-wiped"); s == nil || !slices.Equal(s.Patterns, []string{One}) {
		t.Errorf("one place, the others clear: %+v", s)
	}
	if s := find(Gather(f.with(one, wiped("shell-pin/3/lower"))), "shells-wiped"); s == nil || !slices.Equal(s.Patterns, []string{Neighbours}) {
		t.Errorf("a neighbour found later: %+v", s)
	}
	gone := job.ObservationV2{Part: "shell-pin", Kind: "wiped", Absent: true}
	if s := find(Gather(f.with(one, gone)), "shells-wiped"); s == nil || s.There {
		t.Errorf("taken back: %+v", s)
	}
	// Looked for on one part only: the sign is not absent.
	part := job.ObservationV2{Part: "shell-pin/2", Kind: "wiped", Absent: true}
	if s := find(Gather(f.with(part)), "shells-wiped"); s != nil {
		t.Errorf("one part looked at: %+v", s)
	}
	// A bridge is its two cylinders.
	burnt := job.ObservationV2{Part: "head", At: "bridge/2-3", Kind: "steam-cleaned", Severity: "light", Others: true}
	if s := find(Gather(f.with(burnt)), "steam-clean"); s == nil || !slices.Equal(s.Patterns, []string{Neighbours}) {
		t.Errorf("a bridge: %+v", s)
	}
	// A mark at a place that the sign does not mean is not this sign.
	scuff := job.ObservationV2{Part: "piston/1", Kind: "scuffed", Severity: "light", Within: "pin-ends"}
	if g := Gather(f.with(scuff)); find(g, "skirt-thrust") != nil || find(g, "skirt-pin") == nil {
		t.Error("a place on the part is not told from another")
	}
}
