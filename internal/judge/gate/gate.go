// Package gate says what stands before a step and is still open: what must be
// measured before a part comes out, which test clears a part for measuring.
// A gate asks; whoever passes it open gives a reason.
package gate

import (
	"slices"
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/know/family"
	"fettle/internal/know/strip"
)

// The gates that are not in the strip file, as their overrides name them.
const (
	Drain   = "drain"       // oil sample and filter before the oil is let off
	Cleared = "not-cleared" // tests before measuring
	Hold    = "hold"        // evidence
	Order   = "order"       // an operation before what comes before it is done
)

// Strip is one gate of the strip file as it stands in a job.
type Strip struct {
	Gate   strip.Gate
	Before []string // its components that this engine has
	Open   []string // positions without a reading in the state found
	Of     int      // how many positions it has
	Passed *job.Overridden
}

// Shut reports whether the gate still asks for a reason.
func (s *Strip) Shut() bool { return len(s.Open) > 0 && s.Passed == nil }

// Strips lists the gates that this engine has in the scope of its job.
func Strips(gates []strip.Gate, l *family.Layout, st *job.State) []Strip {
	read := map[string]bool{}
	for i := range st.Readings {
		if r := &st.Readings[i]; r.Counts() && r.State == job.Found {
			read[r.Position] = true
		}
	}
	var out []Strip
	for _, g := range gates {
		s := Strip{Gate: g, Passed: st.Overridden(g.ID, "")}
		for _, c := range g.Before {
			if l.Component(c) != nil {
				s.Before = append(s.Before, c)
			}
		}
		for _, c := range g.Measure {
			for _, i := range l.Of(c) {
				if comp := l.Component(l.Places[i].Char.Component()); comp != nil && !st.InScope(comp.System) {
					continue
				}
				s.Of++
				if id := l.Places[i].ID; !read[id] {
					s.Open = append(s.Open, id)
				}
			}
		}
		if s.Of > 0 && len(s.Before) > 0 {
			out = append(out, s)
		}
	}
	return out
}

// Blocking are the gates that are shut before a component.
func Blocking(all []Strip, component string) []Strip {
	var out []Strip
	for _, s := range all {
		if s.Shut() && slices.Contains(s.Before, component) {
			out = append(out, s)
		}
	}
	return out
}

// Clearing is a component that is tested before it is measured.
type Clearing struct {
	Clear    strip.Clear
	Tests    []*job.Tested // done so far, in order
	Wanting  []string      // methods not yet done
	Rejected bool          // the last test by some method says reject
	Early    int           // readings taken before it was cleared
	Passed   *job.Overridden
}

// Shut reports whether somebody measured before the part was cleared, and
// nobody has said why.
func (c *Clearing) Shut() bool { return c.Early > 0 && c.Passed == nil }

// IsClear reports whether the component may be measured without a word.
func (c *Clearing) IsClear() bool { return len(c.Wanting) == 0 && !c.Rejected }

// Clearings lists the components of this engine that are tested, each with what
// is wanting and how many readings came before. What is measured before the
// strip, and therefore before any test, does not count.
func Clearings(f *strip.File, l *family.Layout, st *job.State) []Clearing {
	var out []Clearing
	standing := map[string]bool{}
	for _, g := range f.Gates {
		for _, c := range g.Measure {
			standing[c] = true
		}
	}
	for _, k := range f.Clear {
		comp := l.Component(k.Component)
		if comp == nil || !st.InScope(comp.System) {
			continue
		}
		c := Clearing{Clear: k, Passed: st.Overridden(Cleared, k.Component)}
		done := map[string]int64{} // by method: sequence of its first test
		last := map[string]string{}
		for i := range st.Tests {
			t := &st.Tests[i]
			if id, _, _ := strings.Cut(t.Part, "/"); id != k.Component {
				continue
			}
			c.Tests = append(c.Tests, t)
			if _, ok := done[t.Method]; !ok {
				done[t.Method] = t.Seq
			}
			last[t.Method+" "+t.Part] = t.Result
		}
		clear := int64(0)
		for _, m := range k.Methods {
			seq, ok := done[m]
			if !ok {
				c.Wanting = append(c.Wanting, m)
			}
			clear = max(clear, seq)
		}
		for _, r := range last {
			c.Rejected = c.Rejected || r == job.Rejected
		}
		c.Early = early(st, k.Component, clear, len(c.Wanting) == 0, standing)
		out = append(out, c)
	}
	return out
}

// early counts the readings of a component that stand in the log before it was
// cleared. A check has no unit and does not count: a crack test is one.
func early(st *job.State, component string, clear int64, cleared bool, standing map[string]bool) int {
	n := 0
	for i := range st.Readings {
		r := &st.Readings[i]
		if standing[char(r.Position)] {
			continue
		}
		if r.Instead == "" && r.Unit != "" && strings.HasPrefix(r.Position, component+"/") && (!cleared || r.Seq < clear) {
			n++
		}
	}
	return n
}

// Drains lists what must be kept before the oil is let off and is not.
func Drains(a *job.Arrival) []string {
	var out []string
	for _, what := range []string{"oil", "filter"} {
		if !a.Kept(what) {
			out = append(out, what)
		}
	}
	return out
}

// char is the characteristic of a position: its first two parts.
func char(position string) string {
	if i := strings.IndexByte(position, '/'); i >= 0 {
		if k := strings.IndexByte(position[i+1:], '/'); k >= 0 {
			return position[:i+1+k]
		}
	}
	return position
}

// Machined is a component that was worked on while it was held as evidence.
type Machined struct {
	Component string
	Readings  int // taken after an operation, since it is held
	Passed    *job.Overridden
}

// Machineds lists them. What was done shows by readings in a state behind an
// operation; whoever was told why once is not asked again.
func Machineds(l *family.Layout, st *job.State) []Machined {
	n := map[string]int{}
	for i := range st.Readings {
		r := &st.Readings[i]
		id, _, _ := strings.Cut(r.Position, "/")
		if h := st.Held(id); h != nil && h.Seq < r.Seq && strings.HasPrefix(r.State, "after(") {
			n[id]++
		}
	}
	var out []Machined
	for _, c := range l.Family.Components {
		if n[c.ID] > 0 {
			out = append(out, Machined{c.ID, n[c.ID], st.Overridden(Hold, c.ID)})
		}
	}
	return out
}

// Leave is the gate before an engine leaves the shop, where the terms want one;
// Ended stands before the approval of a quote that holds no more.
const (
	Leave = "leave"
	Ended = "quote-ended"
)

// What can be wanting before an engine leaves.
const (
	NoApproval = "approval" // no quote was approved
	NoChange   = "change"   // a change order that nobody approved
	NoInvoice  = "invoice"  // nothing was asked for
	NotPaid    = "payment"  // more was asked for than came
)

// Leaving lists what is wanting before the engine may leave; nothing where the
// shop has no terms or its terms do not ask.
func Leaving(t *shop.Terms, d *job.Ledger) []string {
	if t == nil || !t.Gate {
		return nil
	}
	var out []string
	if d.Agreed() == nil {
		out = append(out, NoApproval)
	}
	if len(d.Pending()) > 0 {
		out = append(out, NoChange)
	}
	if len(d.Invoices) == 0 {
		out = append(out, NoInvoice)
	} else if n, err := d.Came().Compare(d.Asked()); err != nil || n < 0 {
		out = append(out, NotPaid)
	}
	return out
}
