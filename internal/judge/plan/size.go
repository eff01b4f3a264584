package plan

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/know/route"
)

func say(key string, pairs ...string) Say {
	s := Say{Key: key}
	for i := 0; i+1 < len(pairs); i += 2 {
		if s.Args == nil {
			s.Args = map[string]string{}
		}
		s.Args[pairs[i]] = pairs[i+1]
	}
	return s
}

func list(names []string) string { return strings.Join(names, ", ") }

func number(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

// mean is the size of several places taken together, as it will be after the
// cuts of the plan, with what it has in common with other sizes by cause.
//
//	x̄ = Σ xᵢ/n,   b̄ₖ = Σ bᵢₖ/n
//
// Shapes: n places -> size; lacks is the first place without a value.
// Units:  base is the number of whole units in one formula unit: 1e9 for nm.
func (m *maker) mean(places []int, base float64) (size allocate.Size, lacks string) {
	n, sum, own := float64(len(places)), 0.0, 0.0
	joint := map[string]float64{}
	for _, at := range places {
		if s, ok := m.set[at]; ok {
			sum += float64(s.N)
			own += s.U * s.U
			continue
		}
		v, ok := m.a.Latest(m.lay.Places[at].ID)
		if !ok {
			return noSize, m.lay.Places[at].ID
		}
		sum += v.SI * base
		for _, part := range m.a.Parts(v) {
			if b := part.U * base; part.Cause == "" {
				own += b * b
			} else {
				joint[part.Cause] += b
			}
		}
	}
	size = allocate.Size{N: int64(math.Round(sum / n)), U: math.Sqrt(own) / n}
	for _, k := range sorted(joint) {
		size.Shared = append(size.Shared, allocate.Share{Cause: k, U: joint[k] / n})
	}
	return size, ""
}

func sorted[T any](m map[string]T) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// input is the places that a symbol of a derived place is bound to.
func input(p *family.Place, symbol string) []int {
	for _, in := range p.In {
		if in.Symbol == symbol {
			return in.Places
		}
	}
	return nil
}

// limits are those for new parts, or for reuse where a place has no others.
func limits(p *family.Place, base float64) allocate.Limits {
	l := p.New
	if l == nil {
		l = p.Used
	}
	var out allocate.Limits
	if l == nil {
		return out
	}
	side := func(q unit.Quantity) *int64 {
		if q.IsZero() {
			return nil
		}
		n := int64(math.Round(q.SI() * base))
		return &n
	}
	return allocate.Limits{Low: side(l.Min), High: side(l.Max)}
}

// middle is what is aimed at: the middle of the limits, the limit where there is
// one alone.
func middle(l allocate.Limits) int64 {
	switch {
	case l.Low != nil && l.High != nil:
		return (*l.Low + *l.High) / 2
	case l.Low != nil:
		return *l.Low
	case l.High != nil:
		return *l.High
	}
	return 0
}

// scale writes whole units of one kind.
type scale struct {
	unit     string
	decimals int
	base     float64
}

func (s scale) write(n int64) string { return unit.Format(float64(n)/s.base, s.unit, s.decimals) }

// doubt writes a standard uncertainty, two figures of it.
func (s scale) doubt(u float64) string {
	x := unit.FromSI(u/s.base, s.unit)
	if x == 0 {
		return "0"
	}
	d := 1 - int(math.Floor(math.Log10(math.Abs(x))))
	return strconv.FormatFloat(x, 'f', min(max(d, 0), 6), 64)
}

// said is an amount with its unit; lengths below 1 mm stand in micrometres.
func (s scale) said(n float64) string {
	if s.base == nm && math.Abs(n) < 1e6 {
		return strconv.FormatFloat(math.Round(n/100)/10, 'f', 1, 64) + " µm"
	}
	return unit.Format(n/s.base, s.unit, s.decimals) + " " + s.unit
}

var millimetres = scale{"mm", 4, nm}

// settle fills what a choice comes to.
func (s scale) settle(c *Choice, st allocate.Standing, l allocate.Limits) {
	c.Value, c.U, c.SI, c.SU = s.write(st.Value), s.doubt(st.U), float64(st.Value)/s.base, st.U/s.base
	c.Whisker, c.Guard = 2*c.SU, guard*c.SU
	if l.Low != nil {
		lo := float64(*l.Low) / s.base
		c.Low, c.Lo = s.write(*l.Low), &lo
	}
	if l.High != nil {
		hi := float64(*l.High) / s.base
		c.High, c.Hi = s.write(*l.High), &hi
	}
	if l.Low != nil || l.High != nil {
		c.Chance, c.Verdict = chance(st.Chance), st.Verdict
	}
}

// chance writes a probability; what is not certain is not rounded to it.
func chance(p float64) string {
	switch {
	case p > 0.9995 && p < 1:
		p = 0.999
	case p < 0.0005 && p > 0:
		p = 0.001
	}
	return strconv.FormatFloat(p, 'f', 3, 64)
}

// waits lists what a place leans on that work of this plan opens again: the
// choice holds until it is read anew.
func (m *maker) waits(places ...int) []string {
	var out []string
	for _, i := range places {
		p := &m.lay.Places[i]
		if _, set := m.set[i]; set {
			continue
		}
		if c := p.Char.ID; (m.opens[c] || m.gone[p.Part]) && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	sort.Strings(out)
	return out
}

// lacks notes that a place gets nothing for want of a reading.
func (m *maker) lacks(f route.Fit, place, reading string) {
	m.plan.Open = append(m.plan.Open, Open{Fit: f.ID, Position: place, Broken: true, Say: say("plan.open.lacks", "fit", f.ID, "reading", reading)})
}

// undecided notes a choice whose verdict stays open.
func (m *maker) undecided(f route.Fit, c *Choice) {
	if c.Verdict == assess.Undecided || c.Verdict == assess.Reject {
		m.plan.Open = append(m.plan.Open, Open{Fit: f.ID, Position: c.Position, Say: say("plan.open."+string(c.Verdict), "fit", f.ID, "value", c.Value, "u", c.U, "chance", c.Chance)})
	}
}
