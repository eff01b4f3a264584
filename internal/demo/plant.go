package demo

import (
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
)

// Expectation is what a plant ought to lead to, with its place written out.
type Expectation struct {
	Plant    string
	Finding  string // id of the catalogue, "" where none is expected
	Question string // id of a question, "" where none is expected
	Answer   string // how it stands at the end: keep, wrong, corrected, "" while open
	Verdict  string // accept, reject, undecided or "" where it does not matter
	At       string // position or the beginning of one
	Visible  bool
	Reason   string
}

// planted is a plant at its place, with every $DIM replaced.
type planted struct {
	*Plant
	at map[string]string // dimension -> value
}

func (t *Truth) plants(l *family.Layout, move map[string]string) ([]planted, fault.List) {
	var out []planted
	var faults fault.List
	for i := range t.Planted {
		p := planted{&t.Planted[i], map[string]string{}}
		where := p.Place
		if to, ok := move[p.ID]; ok {
			where = to
		}
		got := places(where)
		if len(got) != len(p.Over) {
			faults = append(faults, fault.New(fault.Invalid, "demo.place", "found", where, "over", strings.Join(p.Over, "/")))
			continue
		}
		for k, dim := range p.Over {
			d := l.Dims[dim]
			if d == nil || !contains(d.Values, got[k]) {
				faults = append(faults, fault.New(fault.Invalid, "demo.place", "found", where, "over", strings.Join(p.Over, "/")))
				continue
			}
			p.at[dim] = got[k]
		}
		out = append(out, p)
	}
	return out, faults
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}

// text replaces $DIM in a position or the name of a part.
func (p *planted) text(s string) string {
	for dim, v := range p.at {
		s = strings.ReplaceAll(s, "$"+dim, v)
	}
	return s
}

// values replaces $DIM in the values of dimension dim: by the place itself where
// it is the same dimension, by all that it touches where it is another one.
func (p *planted) values(l *family.Layout, dim string, names []string) []string {
	var out []string
	for _, n := range names {
		own, ok := strings.CutPrefix(n, "$")
		if !ok {
			out = append(out, n)
			continue
		}
		v := p.at[own]
		if own == dim {
			out = append(out, v)
			continue
		}
		if d := l.Dims[own]; d != nil {
			out = append(out, d.Touch[dim][v]...)
		}
	}
	return out
}

// hits lists the places that a change covers.
func (p *planted) hits(l *family.Layout, c *Change, all []*family.Place) []*family.Place {
	at := map[string][]string{}
	for dim, names := range c.At {
		at[dim] = p.values(l, dim, names)
	}
	var out []*family.Place
	for _, q := range all {
		if like(c.Of, q.Char.ID) && covers(l, q, at) && covers(l, q, c.Where) {
			out = append(out, q)
		}
	}
	return out
}

// spoil lays the plants over a healthy engine. A change that covers no place is
// a fault: the family has changed under the truth.
func (t *Truth) spoil(l *family.Layout, n nature, ps []planted) (map[string]*Wrote, fault.List) {
	slips := map[string]*Wrote{}
	var faults fault.List
	all := t.measured(l)
	for i := range ps {
		for k := range ps[i].Changes {
			c := &ps[i].Changes[k]
			hits := ps[i].hits(l, c, all)
			if len(hits) == 0 {
				faults = append(faults, fault.New(fault.Invalid, "demo.covers-nothing", "plant", ps[i].ID, "of", c.Of))
			}
			for _, q := range hits {
				if !c.As.IsZero() {
					n.size[q.ID] = c.As.SI()
				}
				if len(c.Like) > 0 {
					n.size[q.ID] = n.size[twin(q, c.Like)]
				}
				n.calm[q.ID] = n.calm[q.ID] || c.Calm
				n.again[q.ID] = n.again[q.ID] || c.Again
				if !c.Add.IsZero() {
					n.size[q.ID] += c.Add.SI()
				}
				if c.Fail {
					n.fail[q.ID] = true
				}
				if !c.Cold.IsZero() {
					n.cold[q.ID] = c.Cold.SI()
				}
				if c.Wrote != nil {
					slips[q.ID] = c.Wrote
				}
			}
		}
	}
	return slips, faults
}

// expectations writes the expectations of all plants out.
func expectations(ps []planted) []Expectation {
	var out []Expectation
	for i := range ps {
		for _, e := range ps[i].Expect {
			out = append(out, Expectation{Plant: ps[i].ID, Finding: e.Finding, Question: e.Question, Answer: e.Answer,
				Verdict: e.Verdict, At: ps[i].text(e.At), Visible: e.Visible, Reason: e.Reason})
		}
	}
	return out
}

// twin is the position that differs from q only in the dimensions named.
func twin(q *family.Place, like map[string]string) string {
	id := []string{q.Char.ID}
	for i, dim := range q.Char.Per {
		v := q.At[i]
		if other, ok := like[dim]; ok {
			v = other
		}
		id = append(id, v)
	}
	return strings.Join(id, "/")
}
