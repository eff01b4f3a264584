package job

import (
	"slices"
	"testing"

	"fettle/internal/facts/entry"
)

// Law: a job moves to another version of its family only from the version it
// stands on, with a reason; anything else is kept, said to be not understood,
// and changes nothing.
func TestRepinnedHoldsForTheVersionItNames(t *testing.T) {
	l := &log{t: t}
	l.add(entry.FamilyRepinned, RepinnedV1{Old: "", New: "v1", Reason: "before it was opened"})
	l.add(entry.JobOpened, OpenedV1{Job: "7", Title: "t", Family: "f", Digest: "v1"})
	first := Replay(l.rows)
	if first.Pinned != "v1" || len(first.Repins) != 0 || first.Lines[0].Known {
		t.Fatalf("opened on %q with %d moves", first.Pinned, len(first.Repins))
	}
	l.add(entry.FamilyRepinned, RepinnedV1{Old: "v0", New: "v9", Reason: "stands elsewhere"})
	l.add(entry.FamilyRepinned, RepinnedV1{Old: "v1", New: "v1", Reason: "no move"})
	l.add(entry.FamilyRepinned, RepinnedV1{Old: "v1", New: "v2", Reason: " "})
	l.add(entry.FamilyRepinned, RepinnedV1{Old: "v1", New: "v2", Reason: "the manual is here"})
	l.add(entry.FamilyRepinned, RepinnedV1{Old: "v1", New: "v3", Reason: "at the same time, by another"})
	l.add(entry.FamilyRepinned, RepinnedV1{Old: "v2", New: "v1", Reason: "back"})
	s := first.With(l.rows[2:])
	if s.Pinned != "v1" || len(s.Repins) != 2 || s.Repins[0].New != "v2" || s.Repins[1].Person != "p-1" {
		t.Errorf("pinned to %q after %+v", s.Pinned, s.Repins)
	}
	var known []bool
	for _, ln := range s.Lines {
		known = append(known, ln.Known)
	}
	if want := []bool{false, true, false, false, false, true, false, true}; !slices.Equal(known, want) {
		t.Errorf("understood %v, want %v", known, want)
	}
	if ln := s.Lines[5]; ln.About != "f" || ln.Text != "v2" || ln.Reason != "the manual is here" {
		t.Errorf("the line says %+v", ln)
	}
	if s.Digest != "v1" || first.Pinned != "v1" || len(first.Repins) != 0 {
		t.Error("what was opened, or the state before, has changed")
	}
}
