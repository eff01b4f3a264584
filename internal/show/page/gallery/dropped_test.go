package gallery

import (
	"strings"
	"testing"

	"fettle/internal/facts/shop"
	"fettle/internal/know/revise"
	"fettle/internal/show/view"
)

// Law: a limit that is dropped says what its values are judged by from then on:
// the limit for the other state, or nothing; one that is changed says nothing.
func TestDroppedLimitSaysWhatJudges(t *testing.T) {
	g := &gallery{t: t, s: newShelf(t)}
	en := view.Reader{Lang: "en", Mark: '.', Book: g.s.lib.Book("en")}
	const why = "the maker gives none"
	drop := func(i string, old string) revise.Change {
		return revise.Change{Path: "block/bore-taper.limits[" + i + "]", Old: old, Reason: why}
	}
	fresh, reuse := drop("0", "max 0.012 mm"), drop("1", "max 0.025 mm")
	relabel := revise.Change{Path: "block/bore.limits[1]", Old: "min 82.995 mm, max 83.060 mm", New: "min 82.995 mm, max 83.030 mm", Source: "own-manual", Status: "manual in hand"}
	for _, c := range []struct {
		changes []revise.Change
		want    string
	}{
		{[]revise.Change{reuse, relabel}, "Values as found are then judged by the limit for new."},
		{[]revise.Change{fresh, relabel}, "Values behind an operation and as built are then judged by the limit for reuse."},
		{[]revise.Change{fresh, reuse, relabel}, "No limit is left there: its values carry no verdict."},
	} {
		m := g.making("corran-24-5", c.changes)
		if m.Layout == nil {
			t.Fatal(m.Faults)
		}
		v := en.DraftPage(&m, shop.Replay(nil), "", nil)
		said := 0
		for _, group := range v.Differences.Groups {
			for _, row := range group.Rows {
				switch {
				case row.What == "Bore taper" && row.So == c.want:
					said++
				case row.So != "":
					t.Errorf("%s %s: %q", row.What, row.Small, row.So)
				}
			}
		}
		if want := strings.Count(c.want, "No limit") + 1; said != want {
			t.Errorf("%q stands %d times, want %d", c.want, said, want)
		}
	}
}
