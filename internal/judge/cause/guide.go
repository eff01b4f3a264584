package cause

import (
	"sort"
	"strconv"

	"fettle/internal/know/failure"
)

// Found is what is known of one sign in this job.
type Found struct {
	Sign     string
	There    bool     // seen or measured out; false: looked for and not there
	Patterns []string // how it may lie over the engine; nil: says nothing
	Halves   []string // on which halves it may lie: upper, lower, both; nil: says nothing
	Parts    []string // what shows it: observed parts, with @ and the place on them, and measured positions
	Open     []string // places that nobody looked at
}

// Guide is what may have caused what was found, one answer an area.
type Guide struct {
	Areas []Answer
}

// Answer ranks the modes of one area.
type Answer struct {
	Area   string
	Found  []Found // what was found or looked for, that one of its modes names
	Causes []Cause // most probable first; with nothing found, the shares as they stand
	Next   []Check // what would tell most, first
}

// None is the id of the cause that none of an area's modes fits.
const None = "none"

// Cause is one mode, or none of these.
type Cause struct {
	Mode      string
	Prior     float64
	Posterior float64
	Percent   string // of Posterior, whole; "<1" below one
	Before    string // of Prior
	For       []Weight
	Against   []Weight
}

// Weight is what one sign says of one cause.
type Weight struct {
	Sign  string
	There bool
	Word  string // strong, plain
	Ratio float64
}

// Check is something to look at and how much it is expected to tell.
type Check struct {
	Sign   string
	Others bool // it is known to be there: look at the other places
	Gain   float64
	Bits   string // of Gain, two digits behind the point
	Word   string // much, some, little
}

// From these ratios on evidence speaks for a cause, and strongly; against it
// from their inverses. After H. Jeffreys, Theory of probability, 1961, from
// memory: √10 and 10.
const (
	plainRatio  = 3.1622776601683795
	strongRatio = 10.0
)

// area is the model of one area: its modes, the last one none of these.
type area struct {
	cat   *failure.Catalogue
	a     *failure.Area
	modes []*failure.Mode
	marks []map[string]failure.Mark // of each mode, by sign
	signs []string                  // that one of its modes names, in the order of the file
	prior []float64
}

func newArea(cat *failure.Catalogue, a *failure.Area) *area {
	m := &area{cat: cat, a: a}
	named := map[string]bool{}
	total := float64(a.None.Share)
	for i := range cat.Modes {
		mode := &cat.Modes[i]
		if mode.Area != a.ID {
			continue
		}
		m.modes = append(m.modes, mode)
		by := map[string]failure.Mark{}
		for _, k := range mode.Marks {
			by[k.Sign] = k
			named[k.Sign] = true
		}
		m.marks = append(m.marks, by)
		total += float64(mode.Share)
	}
	for i := range cat.Signs {
		if named[cat.Signs[i].ID] {
			m.signs = append(m.signs, cat.Signs[i].ID)
		}
	}
	for _, mode := range m.modes {
		m.prior = append(m.prior, float64(mode.Share)/total)
	}
	m.prior = append(m.prior, float64(a.None.Share)/total)
	return m
}

// chance is how likely a sign is under the i-th mode, and how it lies then.
func (m *area) chance(i int, s *failure.Sign) (p float64, over failure.Spread, half failure.Half) {
	if i == len(m.modes) {
		return float64(m.a.None.P) / 100, m.cat.Spread(failure.Any), m.cat.Half(failure.Any)
	}
	k, ok := m.marks[i][s.ID]
	if !ok {
		return float64(s.Elsewhere) / 100, m.cat.Spread(failure.Any), m.cat.Half(failure.Any)
	}
	return float64(k.P) / 100, m.cat.Spread(k.Spread), m.cat.Half(k.Half)
}

func overOf(s failure.Spread, pattern string) float64 {
	switch pattern {
	case One:
		return float64(s.One) / 100
	case Neighbours:
		return float64(s.Neighbours) / 100
	case Gradient:
		return float64(s.Gradient) / 100
	case All:
		return float64(s.All) / 100
	}
	return float64(s.Scattered) / 100
}

func halfOf(h failure.Half, half string) float64 {
	switch half {
	case "upper":
		return float64(h.Upper) / 100
	case "lower":
		return float64(h.Lower) / 100
	}
	return float64(h.Both) / 100
}

// like is the likelihood of one finding under every mode. A finding that leaves
// several patterns open is as likely as these together; what was not looked at
// is no finding and stands in no row.
func (m *area) like(f Found) []float64 {
	s, ok := m.cat.Sign(f.Sign)
	if !ok {
		return nil
	}
	row := make([]float64, len(m.prior))
	for i := range row {
		p, over, half := m.chance(i, s)
		if !f.There {
			row[i] = 1 - p
			continue
		}
		row[i] = p
		if s.Spread && len(f.Patterns) > 0 {
			sum := 0.0
			for _, q := range f.Patterns {
				sum += overOf(over, q)
			}
			row[i] *= sum
		}
		if s.Half && len(f.Halves) > 0 {
			sum := 0.0
			for _, q := range f.Halves {
				sum += halfOf(half, q)
			}
			row[i] *= sum
		}
	}
	return row
}

// Ask answers every area of a catalogue. The order of what was found does not
// matter; a sign that stands twice counts once, as it stands first.
func Ask(cat *failure.Catalogue, found []Found) Guide {
	var g Guide
	for i := range cat.Areas {
		g.Areas = append(g.Areas, newArea(cat, &cat.Areas[i]).answer(found))
	}
	return g
}

// rows are the findings that a mode of this area names, each sign once, with
// their likelihoods.
func (m *area) rows(found []Found) (mine []Found, like [][]float64) {
	known := map[string]*Found{}
	for i := range found {
		if known[found[i].Sign] == nil {
			known[found[i].Sign] = &found[i]
		}
	}
	for _, id := range m.signs {
		if f := known[id]; f != nil {
			mine = append(mine, *f)
			like = append(like, m.like(*f))
		}
	}
	return mine, like
}

func (m *area) answer(found []Found) Answer {
	mine, like := m.rows(found)
	out := Answer{Area: m.a.ID, Found: mine}
	post := Posterior(m.prior, like)
	for i, p := range post {
		c := Cause{Mode: None, Prior: m.prior[i], Posterior: p, Percent: percent(p), Before: percent(m.prior[i])}
		if i < len(m.modes) {
			c.Mode = m.modes[i].ID
		}
		for k, row := range like {
			m.weigh(&c, Ratio(m.prior, row, i), out.Found[k])
		}
		byWeight(c.For, true)
		byWeight(c.Against, false)
		out.Causes = append(out.Causes, c)
	}
	sort.SliceStable(out.Causes, func(a, b int) bool { return out.Causes[a].Posterior > out.Causes[b].Posterior })
	out.Next = m.next(post, mine)
	return out
}

func (m *area) weigh(c *Cause, r float64, f Found) {
	w := Weight{Sign: f.Sign, There: f.There, Ratio: r, Word: "plain"}
	switch {
	case r >= plainRatio:
		if r >= strongRatio {
			w.Word = "strong"
		}
		c.For = append(c.For, w)
	case r <= 1/plainRatio:
		if r <= 1/strongRatio {
			w.Word = "strong"
		}
		c.Against = append(c.Against, w)
	}
}

func byWeight(list []Weight, falling bool) {
	sort.SliceStable(list, func(a, b int) bool {
		if falling {
			return list[a].Ratio > list[b].Ratio
		}
		return list[a].Ratio < list[b].Ratio
	})
}

// next ranks what has not been looked at by what it is expected to tell.
func (m *area) next(post []float64, mine []Found) []Check {
	known := map[string]Found{}
	for _, f := range mine {
		known[f.Sign] = f
	}
	var out []Check
	for _, id := range m.signs {
		s, _ := m.cat.Sign(id)
		f, seen := known[id]
		c := Check{Sign: id}
		switch {
		case !seen:
			c.Gain = Gain(post, m.outcomes(s))
		case f.There && len(f.Open) > 0 && (s.Spread && len(f.Patterns) > 1 || s.Half && len(f.Halves) > 1):
			c.Others, c.Gain = true, Gain(post, m.resolved(s, f))
		default:
			continue
		}
		switch {
		case c.Gain >= 0.3:
			c.Word = "much"
		case c.Gain >= 0.1:
			c.Word = "some"
		default:
			c.Word = "little"
		}
		c.Bits = strconv.FormatFloat(c.Gain, 'f', 2, 64)
		out = append(out, c)
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Gain > out[b].Gain })
	return out
}

// outcomes are all that looking for a sign at every place can give.
func (m *area) outcomes(s *failure.Sign) [][]float64 {
	rows := [][]float64{m.like(Found{Sign: s.ID})}
	patterns, halves := [][]string{nil}, [][]string{nil}
	if s.Spread {
		patterns = singles(Patterns())
	}
	if s.Half {
		halves = singles([]string{"upper", "lower", "both"})
	}
	for _, p := range patterns {
		for _, h := range halves {
			rows = append(rows, m.like(Found{Sign: s.ID, There: true, Patterns: p, Halves: h}))
		}
	}
	return rows
}

func singles(list []string) [][]string {
	out := make([][]string, len(list))
	for i, s := range list {
		out[i] = []string{s}
	}
	return out
}

// resolved are what the open places of a sign that is there can still give; each
// row is what it adds to what is known.
func (m *area) resolved(s *failure.Sign, f Found) [][]float64 {
	now := m.like(f)
	patterns, halves := singles(f.Patterns), singles(f.Halves)
	if len(patterns) == 0 || !s.Spread {
		patterns = [][]string{f.Patterns}
	}
	if len(halves) == 0 || !s.Half {
		halves = [][]string{f.Halves}
	}
	var rows [][]float64
	for _, p := range patterns {
		for _, h := range halves {
			row := m.like(Found{Sign: s.ID, There: true, Patterns: p, Halves: h})
			for i := range row {
				row[i] /= now[i]
			}
			rows = append(rows, row)
		}
	}
	return rows
}

// percent writes a probability in whole percent.
func percent(p float64) string {
	if p < 0.005 {
		return "<1"
	}
	if p > 0.995 {
		return ">99"
	}
	return strconv.Itoa(int(100*p + 0.5))
}
