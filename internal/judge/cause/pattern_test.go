package cause

import (
	"slices"
	"strings"
	"testing"
)

var (
	five  = [][]string{{"1", "2", "3", "4", "5"}}
	eight = [][]string{{"1", "2", "3", "4"}, {"5", "6", "7", "8"}}
)

func marks(s string) map[string]int {
	out := map[string]int{}
	for _, w := range strings.Fields(s) {
		p, bad, _ := strings.Cut(w, ":")
		out[p] = len(bad)
	}
	return out
}

// Law: each pattern is what its name says; banks are runs of their own. How bad
// it is stands as a row of marks behind the place.
func TestPattern(t *testing.T) {
	for _, c := range []struct {
		runs      [][]string
		has, want string
	}{
		{five, "", ""}, {[][]string{{"1"}}, "1", ""}, {five, "3", One}, {five, "2 3", Neighbours}, {five, "2 4", Scattered},
		{five, "1 2 3 4 5", All}, {five, "3 4 5", Gradient}, {five, "1 2 3", Gradient}, {five, "2 3 4", Scattered}, {five, "1 2 3 5", Scattered},
		{five, "1:x 2:x 3:xx 4:xx 5:xxx", Gradient}, {five, "1:xxx 2:xx 3:xx 4:x 5:x", Gradient}, {five, "1:x 2:xx 3:x 4:xx 5:xxx", All},
		{five, "1:x 2:x 3:x 4:x 5:xx", All}, {five, "1:x 2:x 3 4:x 5:xxx", All},
		{eight, "4 5", Scattered}, {eight, "3 4", Neighbours}, {eight, "3 4 7 8", Gradient}, {eight, "3 4 5 6", Scattered}, {eight, "1 2 3 4", Gradient},
		{[][]string{{"1", "2"}}, "1", One}, {[][]string{{"1", "2"}}, "1 2", All},
	} {
		if got := Pattern(c.runs, marks(c.has)); got != c.want {
			t.Errorf("%s is %q, want %q", c.has, got, c.want)
		}
	}
}

// Law: where all places were looked at one pattern is possible, the one there
// is; where places are open, no pattern is left out that looking could give.
func TestPossible(t *testing.T) {
	if got := Possible(five, marks("4"), nil); !slices.Equal(got, []string{One}) {
		t.Errorf("%v", got)
	}
	if got := Possible(five, marks("4"), []string{"1", "2", "3", "5"}); !slices.Equal(got, Patterns()) {
		t.Errorf("nothing looked at: %v", got)
	}
	if got := Possible(five, marks("4"), []string{"5"}); !slices.Equal(got, []string{One, Neighbours}) {
		t.Errorf("one open: %v", got)
	}
	if got := Possible(five, marks("1:x 2:x 3:x 4:x"), []string{"5"}); !slices.Equal(got, []string{Gradient, All}) {
		t.Errorf("the last open: %v", got)
	}
	long := [][]string{nil}
	for i := range 20 {
		long[0] = append(long[0], string(rune('a'+i)))
	}
	if got := Possible(long, marks("a b"), long[0][2:]); !slices.Equal(got, []string{Neighbours, Gradient, All, Scattered}) {
		t.Errorf("many open: %v", got)
	}
}
