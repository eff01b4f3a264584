package view

import "fettle/internal/judge/assess"

// lacks says of each thing that the page of a value tells why it is not there:
// how far it reaches, the chance of being inside, the next act, what makes up
// the doubt, shared causes. Silence would leave open whether it was forgotten.
func (c *Case) lacks(r Reader, val *assess.Value, v *At) []Fact {
	var out []Fact
	put := func(there bool, name, why string) {
		if !there {
			out = append(out, Fact{r.T("page.at.lacks." + name), r.T("page.at.lacks.why." + why)})
		}
	}
	whole := "" // why there is no doubt in numbers at all
	switch {
	case !val.Has:
		whole = "unmeasured"
	case val.Check:
		whole = "check"
	case val.SU == 0:
		whole = "exact"
	}
	put(v.Worth.Between != "", "between", whole)
	chance := whole
	if val.Limit == nil {
		chance = "nolimit"
	}
	put(v.Chance != "", "chance", chance)
	put(v.Act != "", "act", actless(val))
	put(v.Budget != "", "budget", whole)
	shared := whole
	if shared == "" {
		shared = "single"
		if len(c.Assessment.Shared(val)) > 0 {
			shared = "faint"
		}
	}
	put(len(v.Worth.Shared) > 0, "shared", shared)
	return out
}

// actless is why no act is proposed.
func actless(val *assess.Value) string {
	switch val.Verdict {
	case assess.Accept:
		if val.Check {
			return "passed"
		}
		return "inside"
	case assess.Reject:
		if val.Check {
			return "failed"
		}
		return "outside"
	case assess.Unmeasured:
		if val.Derived {
			return "missing"
		}
		return "measure"
	case assess.Undecided:
		return "helpless"
	}
	return "undecidable"
}
