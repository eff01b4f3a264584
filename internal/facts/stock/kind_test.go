package stock

import "testing"

// Law: every kind asks for measures there are, and each measure but the look has
// a quantity.
func TestKinds(t *testing.T) {
	known := map[string]bool{}
	for _, m := range Measures() {
		known[m] = true
		if _, sized := Dim(m); sized == (m == Seen) {
			t.Errorf("%s: sized %v", m, sized)
		}
	}
	seen := map[string]bool{}
	for _, k := range Kinds() {
		if seen[k.ID] || len(k.Needs) == 0 {
			t.Errorf("%s stands twice or asks for nothing", k.ID)
		}
		seen[k.ID] = true
		for _, m := range k.Needs {
			if !known[m] {
				t.Errorf("%s asks for %s", k.ID, m)
			}
		}
	}
}

// Law: a sort is named by what tells it from others, and by nothing else.
// Synthetic.
func TestSort(t *testing.T) {
	a := SortV1{Kind: "shell-main", Family: "corran-24-5", Class: "blue", Role: "upper", Step: "0.25 mm"}
	if got := a.Item(); got != "shell-main:corran-24-5:blue:upper:0.25mm" {
		t.Error(got)
	}
	if got := (SortV1{Kind: "shim", Size: "2.48 mm"}).Item(); got != "shim:::::2.48mm" {
		t.Error(got)
	}
	for name, c := range map[string]struct {
		s    SortV1
		want bool
	}{
		"as it is":         {a, true},
		"unknown kind":     {SortV1{Kind: "cup"}, false},
		"shim of nought":   {SortV1{Kind: "shim", Size: "0.00 mm"}, false},
		"shim below it":    {SortV1{Kind: "shim", Size: "-2.48 mm"}, false},
		"size in grams":    {SortV1{Kind: "shim", Size: "2.48 g"}, false},
		"size without one": {SortV1{Kind: "shim", Size: "2.48"}, false},
		"role of no half":  {SortV1{Kind: "shell-pin", Role: "middle"}, false},
	} {
		if got := c.s.Sound(); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// Law: a criterion has a limit of the quantity that its measure is of, and a
// look has none. Synthetic.
func TestLimits(t *testing.T) {
	for name, c := range map[string]struct {
		c    CriterionV1
		want bool
	}{
		"both":         {CriterionV1{Wall, "1.982", "1.986", "mm"}, true},
		"one":          {CriterionV1{Mass, "", "310", "g"}, true},
		"none":         {CriterionV1{Wall, "", "", "mm"}, false},
		"turned round": {CriterionV1{Wall, "1.986", "1.982", "mm"}, false},
		"of another":   {CriterionV1{Wall, "1.982", "1.986", "g"}, false},
		"no number":    {CriterionV1{Wall, "thin", "1.986", "mm"}, false},
		"a look":       {CriterionV1{Measure: Seen}, true},
		"no measure":   {CriterionV1{"colour", "1", "2", "mm"}, false},
	} {
		low, high, ok := c.c.Limits()
		if ok != c.want || ok && c.c.Min != "" && low == nil || ok && c.c.Max != "" && high == nil {
			t.Errorf("%s: %v %v %v", name, low, high, ok)
		}
	}
}
