package job

import (
	"slices"
	"time"
)

// Spent is what was worked on one operation.
type Spent struct {
	Hours   time.Duration
	People  []string // who worked on it, as they began
	Running []*Span
	Unclear []*Span // longer than anybody works: not stopped when the work was, and not counted
}

// Hours works out how long people worked, by operation, up to a time.
//
//	t = Σ ∫ dt / n(t)
//
// Shapes: spans of a job -> one sum an operation.
// Units:  µs -> duration.
// Errors: none; a span longer than Longest is unclear and counts for nothing.
// Source: common practice, no source: a person who is at n operations at once
// gives each the n-th part, so that nobody works more than an hour an hour; two
// people at one operation count both.
func (w *Work) Hours(at int64) map[string]*Spent {
	out := map[string]*Spent{}
	byPerson := map[string][]*Span{}
	var people []string
	for i := range w.Spans {
		s := &w.Spans[i]
		sum := out[s.Operation]
		if sum == nil {
			sum = &Spent{}
			out[s.Operation] = sum
		}
		if !slices.Contains(sum.People, s.Person) {
			sum.People = append(sum.People, s.Person)
		}
		if s.Open() {
			sum.Running = append(sum.Running, s)
		}
		if s.until(at)-s.Time > Longest.Microseconds() {
			sum.Unclear = append(sum.Unclear, s)
			continue
		}
		if byPerson[s.Person] == nil {
			people = append(people, s.Person)
		}
		byPerson[s.Person] = append(byPerson[s.Person], s)
	}
	shares := map[string]float64{}
	for _, p := range people {
		share(byPerson[p], at, shares)
	}
	for op, us := range shares {
		out[op].Hours = time.Duration(us+0.5) * time.Microsecond
	}
	return out
}

// until is when a span ended, or the time up to which it is counted.
func (s *Span) until(at int64) int64 {
	if s.Open() {
		return max(at, s.Time)
	}
	return s.End
}

// share adds what one person gave to each operation, in µs.
func share(spans []*Span, at int64, to map[string]float64) {
	var cuts []int64
	for _, s := range spans {
		cuts = append(cuts, s.Time, s.until(at))
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	for i := 1; i < len(cuts); i++ {
		a, b := cuts[i-1], cuts[i]
		var in []*Span
		for _, s := range spans {
			if s.Time <= a && s.until(at) >= b {
				in = append(in, s)
			}
		}
		for _, s := range in {
			to[s.Operation] += float64(b-a) / float64(len(in))
		}
	}
}

// Waited is how long a job waited for each thing up to a time, and how long for
// anything at all, what overlaps once.
func (w *Work) Waited(at int64) (byFor map[string]time.Duration, any time.Duration) {
	byFor = map[string]time.Duration{}
	type stretch struct{ from, to int64 }
	var all []stretch
	for i := range w.Waits {
		x := &w.Waits[i]
		end := x.End
		if x.Open() {
			end = max(at, x.Time)
		}
		byFor[x.For] += time.Duration(end-x.Time) * time.Microsecond
		all = append(all, stretch{x.Time, end})
	}
	slices.SortFunc(all, func(a, b stretch) int { return int(max(-1, min(1, a.from-b.from))) })
	var covered int64
	for _, s := range all {
		if s.to > covered {
			any += time.Duration(s.to-max(s.from, covered)) * time.Microsecond
			covered = s.to
		}
	}
	return byFor, any
}
