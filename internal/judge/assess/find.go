package assess

import (
	"math"
	"sort"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/know/finding"
)

// find groups rejected and undecided values into findings, part by part.
func (e *evaluation) find(a *Assessment) {
	index := map[string]int{}
	for i := range a.Values {
		v := &a.Values[i]
		if v.Place == nil || v.Place.Char.Finding == "" || v.Verdict != Reject && v.Verdict != Undecided || e.overtaken(a, v) {
			continue
		}
		f, ok := e.Library.Findings[v.Place.Char.Finding]
		if !ok {
			continue
		}
		key := f.ID + "\x00" + v.Place.Part
		at, ok := index[key]
		if !ok {
			at = len(a.Findings)
			index[key] = at
			n := Finding{ID: f.ID, Part: v.Place.Part, Severity: finding.Watch, Verdict: Undecided, Entry: f}
			if f.Severity == finding.Note {
				n.Severity = finding.Note // a doubt is no graver than what it doubts
			}
			for _, o := range f.Options {
				n.Options = append(n.Options, o.Outcome)
			}
			a.Findings = append(a.Findings, n)
		}
		n := &a.Findings[at]
		if v.Verdict == Reject {
			n.Verdict, n.Severity = Reject, f.Severity
		}
		n.Evidence = append(n.Evidence, evidence(v))
		n.remark(v)
	}
	for i := range a.Findings {
		n := &a.Findings[i]
		sort.SliceStable(n.Evidence, func(x, y int) bool {
			return n.Evidence[x].Verdict == Reject && n.Evidence[y].Verdict != Reject
		})
		n.Worst = e.worst(a, n)
	}
	rank := map[finding.Severity]int{finding.Act: 0, finding.Watch: 1, finding.Note: 2}
	order := map[string]int{}
	for i := range e.Layout.Family.Components {
		order[e.Layout.Family.Components[i].ID] = i
	}
	sort.SliceStable(a.Findings, func(i, j int) bool {
		x, y := &a.Findings[i], &a.Findings[j]
		switch {
		case rank[x.Severity] != rank[y.Severity]:
			return rank[x.Severity] < rank[y.Severity]
		case (x.Verdict == Reject) != (y.Verdict == Reject):
			return x.Verdict == Reject
		case component(x.Part) != component(y.Part):
			return order[component(x.Part)] < order[component(y.Part)]
		case x.Part != y.Part:
			return x.Part < y.Part
		}
		return x.ID < y.ID
	})
}

// overtaken reports a value that a later state of the same place replaces.
func (e *evaluation) overtaken(a *Assessment, v *Value) bool {
	later := false
	for _, s := range e.states {
		if later {
			if w, ok := a.Find(v.Position, s); ok && w.Has {
				return true
			}
		}
		later = later || s == v.State
	}
	return false
}

func component(part string) string {
	c, _, _ := strings.Cut(part, "/")
	return c
}

func evidence(v *Value) Evidence {
	n := Evidence{Position: v.Position, State: v.State, Verdict: v.Verdict, Value: v.Y, Unit: v.Unit}
	if v.Check || v.Limit == nil {
		return n
	}
	c := v.Place.Char
	bound := v.Limit.Hi
	if v.Limit.Lo != nil && (bound == nil || math.Abs(v.SI-*v.Limit.Lo) < math.Abs(v.SI-*bound)) {
		bound = v.Limit.Lo
	}
	if bound != nil {
		n.Limit = unit.Format(*bound, c.Unit, c.Decimals)
	}
	if v.Amount != 0 {
		n.Amount = unit.Format(v.Amount, c.Unit, c.Decimals+1)
	}
	return n
}

// worst is the evidence that lies farthest outside its limit.
func (e *evaluation) worst(a *Assessment, n *Finding) int {
	best, at := -1.0, 0
	for i := range n.Evidence {
		v, ok := a.Find(n.Evidence[i].Position, n.Evidence[i].State)
		if ok && math.Abs(v.Amount) > best && v.Verdict == n.Verdict {
			best, at = math.Abs(v.Amount), i
		}
	}
	return at
}

// tally counts what the assessment holds.
func (e *evaluation) tally(a *Assessment) {
	t := &a.Tally
	t.Readings = e.reads
	for i := range a.Values {
		v := &a.Values[i]
		if v.Derived && v.Has {
			t.Derived++
		}
		switch v.Verdict {
		case Accept:
			t.Accept++
		case Reject:
			t.Reject++
		case Undecided:
			t.Undecided++
		case Unmeasured:
			t.Unmeasured++
		default:
			t.NoLimit++
		}
	}
}
