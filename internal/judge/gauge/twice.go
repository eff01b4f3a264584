package gauge

import (
	"math"
	"slices"
	"sort"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
)

// apart is how much the temperatures of a part may differ between two readings
// that are compared, °C. Source: common practice, no source.
const apart = 1.0

// Twice is what two pairs of hands found with one gauge at the same places of
// the same parts: unlike a check on a master it has in it how a part is held and
// where it is touched. Numbers are in the formula unit of the quantity.
type Twice struct {
	Unit  string // in which the first of the readings was given
	Pairs []Pair
	// Repeat is the standard deviation of one reading, from how the differences
	// scatter about the mean of their pair of hands; nought degrees of freedom
	// where there are too few.
	Repeat float64
	Dof    int
}

// Pair is two persons who read the same places.
type Pair struct {
	A, B   string
	Places int
	// Diff is the mean of what B read more than A, SU its standard uncertainty;
	// nought where one place alone tells nothing of it.
	Diff, SU float64
}

// FromParts compares the first reading of each person with every other person's
// at each place, in each state, that both read with the gauge under the same
// conditions. A place at which the part was warmer by more than 1 °C for one of
// them is left out, and so is a reading that no longer counts.
//
//	d̄ = Σ(x_B − x_A)/n,  u(d̄) = s_d/√n,  s² = Σ(d − d̄)²/(2·Σ(n − 1))
//
// Shapes: states of jobs -> pairs of persons by id; ok is false where no place
// was read by two.
// Units:  formula unit of the quantity that most of the places have.
// Errors: none.
// Source: differences of paired readings, a reading's variance being half that
// of a difference of two: common practice, no source.
func FromParts(gauge string, jobs []*job.State) (Twice, bool) {
	kinds, units := map[unit.Dim]map[[2]string][]float64{}, map[unit.Dim]string{}
	for _, s := range jobs {
		for _, first := range firsts(gauge, s) {
			for i, a := range first {
				for _, b := range first[i+1:] {
					if a.Quantity.Dim != b.Quantity.Dim || !slices.Equal(a.Condition, b.Condition) || !near(a, b) {
						continue
					}
					m := kinds[a.Quantity.Dim]
					if m == nil {
						m = map[[2]string][]float64{}
						kinds[a.Quantity.Dim], units[a.Quantity.Dim] = m, a.Unit
					}
					k := [2]string{a.Person, b.Person}
					m[k] = append(m[k], b.Quantity.SI()-a.Quantity.SI())
				}
			}
		}
	}
	most, of := 0, unit.None
	for d, m := range kinds {
		n := 0
		for _, list := range m {
			n += len(list)
		}
		if n > most || n == most && d < of {
			most, of = n, d
		}
	}
	if most == 0 {
		return Twice{}, false
	}
	return paired(kinds[of], units[of]), true
}

func paired(m map[[2]string][]float64, in string) Twice {
	t, squares := Twice{Unit: in}, 0.0
	for k, list := range m {
		p, sum := Pair{A: k[0], B: k[1], Places: len(list), Diff: mean(list)}, 0.0
		for _, d := range list {
			sum += (d - p.Diff) * (d - p.Diff)
		}
		if n := float64(len(list)); n > 1 {
			p.SU = math.Sqrt(sum / (n - 1) / n)
			t.Dof += len(list) - 1
			squares += sum
		}
		t.Pairs = append(t.Pairs, p)
	}
	if t.Dof > 0 {
		t.Repeat = math.Sqrt(squares / float64(2*t.Dof))
	}
	sort.Slice(t.Pairs, func(i, j int) bool {
		p, q := &t.Pairs[i], &t.Pairs[j]
		return p.A < q.A || p.A == q.A && p.B < q.B
	})
	return t
}

// firsts are the first readings with a gauge at each place and state that more
// than one person read, by person.
func firsts(gauge string, s *job.State) [][]*job.Reading {
	by := map[[2]string][]*job.Reading{}
	var order [][2]string
	for i := range s.Readings {
		r := &s.Readings[i]
		if r.Gauge != gauge || !r.Counts() || r.Person == "" || r.Quantity.IsZero() {
			continue
		}
		k := [2]string{r.Position, r.State}
		if by[k] == nil {
			order = append(order, k)
		}
		if !slices.ContainsFunc(by[k], func(q *job.Reading) bool { return q.Person == r.Person }) {
			by[k] = append(by[k], r)
		}
	}
	var out [][]*job.Reading
	for _, k := range order {
		if list := by[k]; len(list) > 1 {
			sort.Slice(list, func(i, j int) bool { return list[i].Person < list[j].Person })
			out = append(out, list)
		}
	}
	return out
}

// near reports whether two readings were taken of a part as warm; where nobody
// took its temperature there is nothing to hold against them.
func near(a, b *job.Reading) bool {
	p, err1 := unit.Parse(a.PartTemp, "°C", '.')
	q, err2 := unit.Parse(b.PartTemp, "°C", '.')
	return err1 != nil || err2 != nil || math.Abs(p.SI()-q.SI()) <= apart
}
