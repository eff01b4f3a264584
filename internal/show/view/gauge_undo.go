package view

import (
	"fettle/internal/facts/shop"
)

// UndoView is a calibration or a check before it is withdrawn: what it says,
// what leaned on it and what changes without it.
type UndoView struct {
	Heading  string
	Facts    []Fact
	Gone     string // it was withdrawn before: by whom, when and why
	Check    bool   // no verdict leans on a check
	Leaned   []LeanedJob
	Reopened []ReopenedJob
	Nothing  bool // no verdict and no value moves
	Post     string
	Reasons  []Choice
}

// Undo says what an entry about a gauge holds; one of the two is given.
func (r Reader) Undo(sh *shop.State, id, key string, c *shop.Calibration, k *shop.Check) *UndoView {
	names := &Case{Shop: sh}
	u := &UndoView{Post: GaugeHref(id, "withdraw", key), Check: k != nil}
	fact := func(name, text string) {
		if text != "" {
			u.Facts = append(u.Facts, Fact{r.T(name), text})
		}
	}
	var v *shop.Void
	if c != nil {
		u.Heading, v = r.T("page.gauge.undo.calibration"), c.Void
		o := r.Offered(&c.CalibratedV1, nil, "", nil, nil)
		u.Facts = o.Facts
		if n := len(c.Points); n > 0 {
			fact("page.gauge.points", r.Int(n))
		}
	} else {
		u.Heading, v = r.T("page.gauge.undo.check"), k.Void
		fact("page.block.when", r.Day(k.Time))
		fact("page.at.who", names.person(k.Person))
		fact("page.gauge.master", k.Master)
		fact("page.gauge.true", r.With(k.True, k.Unit))
		fact("page.gauge.read", r.With(k.Read, k.Unit))
	}
	if v != nil {
		_, how, reason := r.voided(names, id, key, v)
		u.Gone = how + ": " + reason
	}
	for _, w := range []string{"mistyped", "gauge"} {
		text := r.T("page.reason." + w)
		u.Reasons = append(u.Reasons, Choice{Value: text, Text: text})
	}
	return u
}

// Without fills what leaned on it and what changes without it.
func (u *UndoView) Without(r Reader, leaned []Leaning, reopened []ReopenedJob) {
	for _, l := range leaned {
		u.Leaned = append(u.Leaned, r.leaned(l))
	}
	u.Reopened, u.Nothing = reopened, len(reopened) == 0
}
