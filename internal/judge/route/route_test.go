package route

import (
	"testing"

	"fettle/internal/base/unit"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
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
