package plan

import (
	"math"

	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
)

// What a machine leaves behind, nm. A journal is ground to its size −0.010 to 0,
// evenly; a bore is honed to its piston with a standard deviation of 2 µm.
// Source: common practice, no source, for the first; from memory, for the second.
const (
	groundSpan = int64(10_000)
	honeU      = 2_000.0
)

// cut fixes the step of every group that a finding sends to a machine, and the
// sizes that its places will have.
func (m *maker) cut() {
	for i := range m.a.Targets {
		t := &m.a.Targets[i]
		asked := false
		for k := range m.plan.Findings {
			asked = asked || m.cutting(&m.a.Findings[k], &m.plan.Findings[k], t.Group)
		}
		if !asked {
			continue
		}
		c := Cut{Group: t.Group, Step: t.Step, Size: t.Size, Unit: t.Unit, Why: t.Why, beyond: t.Beyond || t.Step == ""}
		if c.beyond {
			m.plan.Conflicts = append(m.plan.Conflicts, beyond(t))
			continue
		}
		step, ok := m.ladder(t.Group, t.Step)
		if !ok {
			continue
		}
		c.step = step
		m.steps[t.Group] = step
		c.size = m.base(t.Group) - step
		if t.Group == "bore" {
			c.size = m.base(t.Group) + step
		}
		m.plan.Cuts = append(m.plan.Cuts, c)
		if t.Group != "bore" {
			m.ground(t.Group, c.size)
		}
	}
}

// ladder finds a step by its text, nm.
func (m *maker) ladder(group, text string) (int64, bool) {
	e := &m.lay.Family.Engine
	steps := map[string][]unit.Quantity{"bore": e.Oversizes, "main": e.Undersizes.Main, "pin": e.Undersizes.Pin}[group]
	for _, q := range steps {
		if q.String() == text {
			return nano(q.SI()), true
		}
	}
	return 0, false
}

// base is the design size that the steps of a group count from, nm.
func (m *maker) base(group string) int64 {
	e := &m.lay.Family.Engine
	q := map[string]unit.Quantity{"bore": e.Bore, "main": e.MainJournal, "pin": e.PinJournal}[group]
	return nano(q.SI())
}

// ground sets all journals of a group to the middle of what grinding leaves. What
// a grinder leaves he leaves on all of them alike as well as on each: both are in
// its spread, and it is taken as each one's own.
func (m *maker) ground(group string, size int64) {
	at := allocate.Graded(size-groundSpan, size)
	for i := range m.lay.Places {
		p := &m.lay.Places[i]
		if p.Char.Target == group && p.Char.Relation == "" && p.Char.Quantity != family.Check {
			m.set[i] = at
		}
	}
}

// step is what the parts of a group have to be made for: the step it is cut to,
// else the one it stands at already, nm.
func (m *maker) stepOf(group string) int64 {
	if s, ok := m.steps[group]; ok {
		return s
	}
	return 0
}

// beyond is the conflict of a group that no step of its ladder cleans up.
func beyond(t *assess.Target) Conflict {
	return Conflict{ID: t.Group, Say: say("plan.conflict.beyond", "group", t.Group, "governs", t.Governs),
		Members: []Member{{Kind: "place", Ref: t.Governs, Say: say("plan.member.place", "place", t.Governs)},
			{Kind: "ladder", Ref: t.Group, Say: say("plan.member.ladder", "group", t.Group)}}}
}

func nano(si float64) int64 { return int64(math.Round(si * nm)) }
