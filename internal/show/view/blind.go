package view

import (
	"fettle/internal/judge/assess"
)

// readBy tells whether somebody else and whether this person has a reading that
// counts.
func (c *Case) readBy(position, person, state string) (others, own bool) {
	for i := range c.Job.Readings {
		r := &c.Job.Readings[i]
		if r.Position != position || r.State != state || !r.Counts() {
			continue
		}
		if r.Person == person {
			own = true
		} else {
			others = true
		}
	}
	return others, own
}

// ToReadBlind keeps the places that others read, in their order, and finds the
// first of them that this person did not; -1 where there is none.
func (c *Case) ToReadBlind(places []int, person, state string) (out []int, at int) {
	at = -1
	for _, p := range places {
		others, own := c.readBy(c.Layout.Places[p].ID, person, state)
		if !others {
			continue
		}
		if !own && at < 0 {
			at = len(out)
		}
		out = append(out, p)
	}
	return out, at
}

// Blind takes out of a sheet what others read where this person has still to
// read: sizes, bars and verdicts, which would guide the hand, and with them every mark on the drawing, since
// what is worked out from those sizes would tell them.
func (c *Case) Blind(v *BenchSheet, person string) {
	for i := range v.Slots {
		s := &v.Slots[i]
		if others, own := c.readBy(s.ID, person, v.State); !others || own {
			continue
		}
		s.Verdict, s.Value, s.Toward, s.Amount, s.Bar, s.Last, s.Left, s.Questions = string(assess.Unmeasured), "", "", "", "", nil, "", nil
	}
	for id := range v.Marks {
		v.Marks[id] = ""
	}
}
