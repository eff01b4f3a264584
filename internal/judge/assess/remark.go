package assess

import (
	"strings"
	"time"

	"fettle/internal/facts/shop"
	"fettle/internal/maths/gum"
)

// The remarks on a value: what it leans on that is not as it should be. A remark
// changes neither value nor verdict.
const (
	Overdue = "value.overdue" // the calibration of its gauge was past its date on the day of the reading
	Beyond  = "value.beyond"  // the gauge was not calibrated at that size
)

// remark is a remark with the cause it is about.
type remark struct {
	Say
	cause gum.ID
}

// due remarks on a calibration that was past its date on the day of a reading.
func (m *measured) due(c *shop.Calibration, gauge string, cause gum.ID) {
	if c.Overdue(m.Time) {
		m.remark(Overdue, cause, "gauge", gauge, "due", time.UnixMicro(c.Due).UTC().Format(time.DateOnly))
	}
}

// outside remarks on a reading beyond the range its gauge was calibrated over.
func (m *measured) outside(c *shop.Calibration, gauge string, cause gum.ID) {
	if _, _, beyond := c.BiasAt(m.Quantity.SI()); beyond {
		from, to := c.Range()
		m.remark(Beyond, cause, "gauge", gauge, "from", from, "to", to)
	}
}

func (m *measured) remark(key string, cause gum.ID, pairs ...string) {
	m.remarks = append(m.remarks, remark{*say(key, pairs...), cause})
}

// remarksOf are the remarks on a value: those on its readings, and of what it is
// worked out from those whose cause has not cancelled.
func (e *evaluation) remarksOf(sp spot) []remark {
	if len(e.remarks) == 0 {
		return nil
	}
	if known, ok := e.remarks[sp]; ok {
		return known
	}
	var out []remark
	share := map[gum.ID]bool{}
	p := &e.Layout.Places[sp.place]
	for _, in := range p.In {
		for _, at := range in.Places {
			st, ok := e.stateOf(at, sp.state)
			if !ok {
				continue
			}
			for _, r := range e.remarksOf(spot{at, st}) {
				if _, asked := share[r.cause]; !asked {
					share[r.cause] = e.part(e.nodes[sp], r.cause) > leastPart
				}
				if share[r.cause] {
					out = merge(out, r)
				}
			}
		}
	}
	e.remarks[sp] = out
	return out
}

// leastPart is the part of a variance below which a cause has cancelled: what is
// left then comes from the arithmetic.
const leastPart = 1e-9

// part is a cause's part of a node's variance.
func (e *evaluation) part(id, cause gum.ID) float64 {
	u, v := e.g.U(cause), e.g.U(id)
	if u == 0 || v == 0 {
		return 0
	}
	c := e.g.Covariance(id, cause) / (u * v)
	return c * c
}

// merge adds a remark that is not said yet.
func merge(list []remark, r remark) []remark {
	for i := range list {
		if list[i].same(&r) {
			return list
		}
	}
	return append(list, r)
}

func (r *remark) same(o *remark) bool {
	if r.Key != o.Key || len(r.Args) != len(o.Args) {
		return false
	}
	for k, v := range r.Args {
		if o.Args[k] != v {
			return false
		}
	}
	return true
}

// gather keeps the remarks of a series.
func (e *evaluation) gather(s *series) {
	for _, m := range s.used {
		for _, r := range m.remarks {
			if e.remarks == nil {
				e.remarks = map[spot][]remark{}
			}
			e.remarks[s.spot] = merge(e.remarks[s.spot], r)
		}
	}
}

// said are remarks without their causes.
func said(list []remark) []Say {
	var out []Say
	for _, r := range list {
		out = append(out, r.Say)
	}
	return out
}

// beyond asks, once a part and gauge, about readings beyond the range that the
// gauge was calibrated over.
func (e *evaluation) beyond(a *Assessment, s *series, part string, seen map[string]bool) {
	for _, m := range s.used {
		for _, r := range m.remarks {
			key := strings.Join([]string{"b", part, r.Args["gauge"], r.Args["from"]}, "|")
			if r.Key != Beyond || seen[key] {
				continue
			}
			seen[key] = true
			a.Questions = append(a.Questions, question(BeyondCurve, m.Reading, map[string]string{"typed": m.Value, "unit": m.Unit,
				"gauge": r.Args["gauge"], "from": r.Args["from"], "to": r.Args["to"]}, ""))
		}
	}
}

// remarks of a finding are those of the values it rests on.
func (n *Finding) remark(v *Value) {
	for _, s := range v.Remarks {
		list := []remark{}
		for _, o := range n.Remarks {
			list = append(list, remark{Say: o})
		}
		n.Remarks = said(merge(list, remark{Say: s}))
	}
}
