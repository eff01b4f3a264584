package assess_test

import (
	"math"
	"strconv"
	"testing"
	"time"

	"fettle/internal/judge/assess"
)

func faceOf(t testing.TB, job, position string) (*assess.Assessment, assess.FaceMap) {
	t.Helper()
	a, _ := truth(t, job).judge(t, 1, nil)
	v, ok := a.Find(position, "found")
	if !ok {
		t.Fatal("no " + position)
	}
	m, ok := a.FaceMap(v)
	if !ok {
		t.Fatal("no map of " + position)
	}
	return a, m
}

// Law: highest and lowest of a face lie as far to either side of the middle
// plane, as far apart as the flatness; the least cut is the flatness, and its
// doubt is that of the flatness, which the one dial's error is not in.
func TestLawFaceMapIsTheFlatness(t *testing.T) {
	_, m := faceOf(t, "2026-014", "head/flatness")
	v := m.Flatness
	hi, lo := math.Inf(-1), math.Inf(1)
	for _, p := range m.Points {
		hi, lo = math.Max(hi, p.Height), math.Min(lo, p.Height)
	}
	if math.Abs(hi+lo) > 1e-9 || math.Abs(hi-lo-v.SI) > 1e-9 {
		t.Errorf("from %g to %g about the plane, flatness %g", lo, hi, v.SI)
	}
	if m.Points[m.High].Height != hi || m.Points[m.Low].Height != lo {
		t.Errorf("high spot %+v, low spot %+v", m.Points[m.High], m.Points[m.Low])
	}
	if m.Cut.Depth != v.Y || m.Cut.Expanded != v.Expanded {
		t.Errorf("cut %s ± %s, flatness %s ± %s", m.Cut.Depth, m.Cut.Expanded, v.Y, v.Expanded)
	}
	if len(m.Levels) < 3 || len(m.Levels) > 11 {
		t.Errorf("%d levels every %s", len(m.Levels), m.Step)
	}
	for _, l := range m.Levels {
		if l.Height < lo || l.Height > hi || len(l.Lines) == 0 {
			t.Errorf("level %s with %d lines", l.Text, len(l.Lines))
		}
	}
}

// Law: what is left is the height left less the cut; a head that is warped by
// more than it has to give is rejected before anybody cuts it.
func TestLawLeftAboveTheLeastHeight(t *testing.T) {
	a, m := faceOf(t, "2026-014", "head/flatness")
	from, ok := a.Find("head/height-left", "found")
	if !ok || m.Cut.From == nil {
		t.Fatal("no height left")
	}
	left, err := strconv.ParseFloat(m.Cut.Left, 64)
	if err != nil || math.Abs(left-(from.SI-m.Flatness.SI)*1e3) > 0.6e-3 {
		t.Errorf("left %s, from %s less %s", m.Cut.Left, from.Y, m.Flatness.Y)
	}
	if want := map[bool]assess.Verdict{true: assess.Accept, false: assess.Reject}[left > 0]; m.Cut.LeftVerdict != want && m.Cut.LeftVerdict != assess.Undecided {
		t.Errorf("left %s is %s", m.Cut.Left, m.Cut.LeftVerdict)
	}
	_, deck := faceOf(t, "2026-014", "block/deck-flatness")
	if deck.Cut.Left != "" {
		t.Error("the family gives the deck no least height, and yet something is left above it")
	}
}

// Law: only a flatness has a map.
func TestLawNoMapOfAnythingElse(t *testing.T) {
	a, _ := truth(t, "2026-014").judge(t, 1, nil)
	start, n := time.Now(), 0
	for i := range a.Values {
		if _, ok := a.FaceMap(&a.Values[i]); ok {
			n++
			if a.Values[i].Place.Char.Relation != "flatness" {
				t.Errorf("a map of %s", a.Values[i].Position)
			}
		}
	}
	t.Logf("%d maps in %v", n, time.Since(start))
}
