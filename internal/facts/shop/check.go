package shop

import (
	"cmp"
	"slices"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
)

// MasterCheckV1 is one person's reading of a master with one gauge.
type MasterCheckV1 struct {
	Gauge  string `json:"gauge"`
	Master string `json:"master"`
	True   string `json:"true"`
	Read   string `json:"read"`
	Unit   string `json:"unit"`
}

// Check is a master check with who made it, when, and its numbers.
type Check struct {
	MasterCheckV1
	Person       string
	Time         int64 // writer's clock, µs since 1970 UTC
	TrueQ, ReadQ unit.Quantity
	Key          string // of its entry
	Void         *Void  // nil while it counts
}

// Error is what the gauge showed less the size of the master, formula unit.
func (c *Check) Error() float64 { return c.ReadQ.SI() - c.TrueQ.SI() }

// Day counts days of UTC since 1970, by the writer's clock.
func (c *Check) Day() int64 { return Day(c.Time) }

// Day is the day of a time, counted from 1970, UTC.
func Day(time int64) int64 {
	const day = 24 * 3600 * 1e6
	d := time / day
	if time%day < 0 {
		d--
	}
	return d
}

func (s *State) check(r *entry.Row) bool {
	var p MasterCheckV1
	if !decode(r.Payload, &p) {
		return false
	}
	size, err1 := unit.Parse(p.True, p.Unit, '.')
	read, err2 := unit.Parse(p.Read, p.Unit, '.')
	if p.Gauge == "" || err1 != nil || err2 != nil || size.Dim != read.Dim {
		return false
	}
	s.Checks = append(s.Checks, Check{MasterCheckV1: p, Person: r.Person, Time: r.Time, TrueQ: size, ReadQ: read, Key: r.Key.String()})
	return true
}

// Study is what the checks of one gauge on one master hold, oldest first.
type Study struct {
	Gauge, Master string
	Checks        []Check
}

// Study collects the checks of a gauge, one study a master, the master that was
// used last standing first.
func (s *State) Study(gauge string) []Study {
	var out []Study
	at := map[string]int{}
	last := map[string]int64{}
	for _, c := range s.Checks {
		if c.Gauge != gauge || c.Void != nil {
			continue
		}
		i, ok := at[c.Master]
		if !ok {
			i = len(out)
			at[c.Master] = i
			out = append(out, Study{Gauge: gauge, Master: c.Master})
		}
		out[i].Checks = append(out[i].Checks, c)
		last[c.Master] = max(last[c.Master], c.Time)
	}
	for i := range out {
		slices.SortStableFunc(out[i].Checks, func(a, b Check) int { return cmp.Compare(a.Time, b.Time) })
	}
	slices.SortStableFunc(out, func(a, b Study) int { return cmp.Compare(last[b.Master], last[a.Master]) })
	return out
}
