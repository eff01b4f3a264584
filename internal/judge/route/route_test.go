package route

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
	"fettle/internal/know/operation"
)

func quantity(t *testing.T, number, name string) unit.Quantity {
	t.Helper()
	q, err := unit.Parse(number, name, '.')
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// shipped is the catalogue and the inline five of this repository.
func shipped(t *testing.T) (*operation.Catalogue, *family.Layout) {
	t.Helper()
	const data = "../../../data/"
	files := library.Files{}
	for _, pattern := range []string{"*.yaml", "*.csv", "words/*.yaml"} {
		names, _ := filepath.Glob(data + pattern)
		for _, n := range names {
			b, err := os.ReadFile(n)
			if err != nil {
				t.Fatal(err)
			}
			files[strings.TrimPrefix(filepath.ToSlash(n), data)] = b
		}
	}
	lib, faults := library.Read(files, compute.Signature)
	b, err := os.ReadFile(data + "family/corran-24-5.yaml")
	if err != nil || len(faults) > 0 {
		t.Fatal(err, faults)
	}
	l, faults := lib.Family("family/corran-24-5.yaml", b)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return lib.Operations(), l
}

// Law: boring leaves its stock to the hone, whether the size is the group's or
// the plan's; the hone goes to the plan's size of its own bore and to nothing
// where there is no plan; a shift has no size.
func TestLawWhereAPlaceGoes(t *testing.T) {
	bore := &family.Characteristic{ID: "block/bore", Quantity: "length", Unit: "mm", Decimals: 3, Target: "bore"}
	a := &assess.Assessment{Targets: []assess.Target{{Group: "bore", Step: "0.25 mm", Size: "83.250", Unit: "mm"}, {Group: "main", Step: "0.25 mm", Size: "57.740", Unit: "mm"}}}
	boring := operation.Set{Characteristic: bore.ID, Rule: operation.GroupSize, Offset: quantity(t, "-0.065", "mm")}
	hone := operation.Set{Characteristic: bore.ID, Rule: operation.ToTarget}
	aims := []Aim{{"block/bore/2", "83.2475", "mm"}, {"block/bore/3", "83.25", "kg"}}
	for _, c := range []struct {
		set   operation.Set
		index string
		aims  []Aim
		want  string
	}{{boring, "2", nil, "83.185"}, {boring, "2", aims, "83.1825"}, {boring, "1", aims, "83.185"}, {hone, "2", nil, ""}, {hone, "2", aims, "83.2475"}, {hone, "3", aims, ""},
		{operation.Set{Rule: operation.Shift, Sign: -1}, "2", aims, ""}} {
		if got := To(a, bore, c.index, c.set, c.aims); got != c.want {
			t.Errorf("%s at %s: %q, want %q", c.set.Rule, c.index, got, c.want)
		}
	}
	a.Targets[0].Step = ""
	if got := To(a, bore, "2", boring, nil); got != "" {
		t.Errorf("a group without a step goes to %s", got)
	}
}

// Law: a group that needs a size is worked on, unless somebody decided that it
// stays; what was begun by hand is in the route whatever was decided.
func TestLawWhatAJobAsksFor(t *testing.T) {
	cat, l := shipped(t)
	at := l.Places[l.Of("block/bore")[0]].ID
	a := &assess.Assessment{Targets: []assess.Target{{Group: "bore", Needed: true, Step: "0.25 mm", Size: "83.250", Unit: "mm"}, {Group: "main", Needed: true}},
		Findings: []assess.Finding{{ID: "bore-size", Part: "block", Evidence: []assess.Evidence{{Position: at}}}}}
	ids := func(j *job.State) (out []string) {
		for _, c := range Choices(cat, l, a, j) {
			out = append(out, c.Operation)
		}
		return out
	}
	if got := ids(&job.State{}); !slices.Equal(got, []string{"bore"}) {
		t.Errorf("nothing decided: %v", got)
	}
	decided := func(outcome string) *job.State {
		return &job.State{Decisions: []job.Decided{{DecisionV1: job.DecisionV1{Finding: "bore-size@block", Outcome: outcome}}}}
	}
	if got := ids(decided("reuse-with-note")); len(got) != 0 {
		t.Errorf("it stays: %v", got)
	}
	if got := ids(decided("rework")); !slices.Contains(got, "bore") || slices.Contains(got, "sleeve") {
		t.Errorf("rework: %v", got)
	}
	begun := decided("reuse-with-note")
	begun.Spans = []job.Span{{StartedV1: job.StartedV1{Operation: "wash"}, Run: 1}}
	if got := ids(begun); !slices.Equal(got, []string{"wash"}) {
		t.Errorf("begun by hand: %v", got)
	}
}
