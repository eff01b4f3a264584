package fault

import (
	"errors"
	"fmt"
	"testing"
)

// Law: faults come out of whatever wraps them, and a stranger's error is said
// to be one.
func TestLawAll(t *testing.T) {
	f := New(Invalid, "a.b", "found", "x")
	for _, c := range []struct {
		err  error
		want []string
	}{
		{nil, nil},
		{f, []string{"a.b"}},
		{List{f, f}, []string{"a.b", "a.b"}},
		{fmt.Errorf("run: %w", List{f}), []string{"a.b"}},
		{fmt.Errorf("run: %w", f), []string{"a.b"}},
		{errors.New("disk"), []string{"fault.other"}},
	} {
		var got []string
		for _, g := range All(c.err) {
			got = append(got, g.Key)
		}
		if fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("All(%v) = %v, want %v", c.err, got, c.want)
		}
	}
}

// Law: a fault is copied, never changed, when it is placed.
func TestLawPlaced(t *testing.T) {
	f := New(Invalid, "a.b", "found", "x")
	g := f.At("f.csv", 3, 7).In("a[1]")
	if f.Line != 0 || f.Path != "" || g.Error() != `f.csv:3:7: a.b found="x" in="a[1]"` {
		t.Errorf("%v from %v", g, f)
	}
}
