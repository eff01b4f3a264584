package allocate

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
)

// LashNote is what was noted at one valve: the shim found and its lash, and, where
// it has been done, the shim fitted and the lash after.
type LashNote struct {
	ID         string
	Group      string // valves that are made alike: intake, exhaust
	Shim, Lash Size
	Ratio      float64
	Fitted     *Size
	After      *Size
}

// Suspect is a number that was perhaps noted wrong. The reading counts until a
// person has looked.
type Suspect struct {
	ID      string
	What    string // "shim", "lash", "fitted", "after"; "shim or lash" or "any" where nothing tells them apart
	Slip    string // "exchanged", "digits swapped", "tenth"; "" where no usual slip explains it
	With    string // of an exchange, the other valve
	Noted   int64
	Perhaps int64   // what it would have to be, or the slip undone
	By      int64   // how far the equation is off, at the shim
	Times   float64 // that, in standard deviations of the group or the doubt
}

// LashCheck is what the equations of all valves say together.
type LashCheck struct {
	Suspects []Suspect // the likeliest first
	Scatter  map[string]float64
	// Ratio is the ratio that the changes of shim and lash show, with its standard
	// uncertainty; 0 where no shim was changed enough to tell. Doubtful says that
	// the ratio given is not it.
	Ratio, RatioU float64
	Doubtful      bool
	Left          []float64 // of each valve, how far its equation is off at the shim
}

// CheckLash holds the equations of the valves against one another.
//
//	h = T + R·g                       what shim and lash fill together
//	e = g′ − [g + (T − N)/R]          after a change of shim
//
// Valves made alike have nearly the same h: one that lies more than `far` standard
// deviations from the middle of its group has a shim or a lash noted wrong, or is
// not made like the others. An e beyond its doubt says that one of its four numbers
// is wrong; h before and after tells which two. Slips that would explain it are
// tried: two shims exchanged, two digits swapped, one tenth of a millimetre out.
//
//	1/R̂ = Σ(T − N)(g′ − g)/Σ(T − N)²
//
// Shapes: v notes -> suspects.
// Units:  nm; R none.
// Errors: names that are missing or stand twice; sizes and ratios that are none; a
// shim fitted without the lash after it, or the reverse; far not above nought.
// Source: common practice, no source, for h and e; the scatter is the median of
// deviations times 1.4826 (P. J. Rousseeuw and C. Croux, 1993, from memory), and no
// less than the doubt of h.
func CheckLash(notes []LashNote, far float64) (LashCheck, error) {
	w, err := newLashWork(notes, far)
	if err != nil {
		return LashCheck{}, err
	}
	out := LashCheck{Scatter: map[string]float64{}, Left: make([]float64, len(notes))}
	w.middle(&out)
	found := map[string]bool{}
	for i := range w.notes {
		out.Left[w.order[i]] = w.left[i]
		if s, ok := w.changed(i); ok {
			out.Suspects, found[s.ID] = append(out.Suspects, s), true
		}
	}
	for i := range w.notes {
		if t := math.Abs(w.left[i]) / w.scatter[i]; t > far && !found[w.notes[i].ID] {
			out.Suspects = append(out.Suspects, w.suspect(i, "shim or lash", w.left[i], t))
		}
	}
	sort.SliceStable(out.Suspects, func(a, b int) bool { return out.Suspects[a].Times > out.Suspects[b].Times })
	w.ratio(&out)
	return out, nil
}

type lashWork struct {
	notes   []LashNote
	order   []int
	far     float64
	left    []float64 // h less the middle of its group
	scatter []float64 // of its group
}

func newLashWork(notes []LashNote, far float64) (*lashWork, error) {
	w := &lashWork{far: far, order: ordered(notes, func(n LashNote) string { return n.ID })}
	var names []string
	for _, i := range w.order {
		n := notes[i]
		w.notes, names = append(w.notes, n), append(names, n.ID)
		v := Valve{ID: n.ID, Shim: n.Shim, Lash: n.Lash, Ratio: n.Ratio, Limits: Limits{new(int64), new(int64)}}
		*v.Limits.High = 1
		if err := v.check(); err != nil {
			return nil, err
		}
		if (n.Fitted == nil) != (n.After == nil) {
			return nil, refuse("fits.after", "name", n.ID)
		}
		if n.Fitted != nil {
			if err := errors.Join(sound(n.ID, *n.Fitted)); err != nil || n.After.N < 0 {
				return nil, errors.Join(err, refuse("fits.lash", "name", n.ID))
			}
		}
	}
	if err := named("valve", names); err != nil {
		return nil, err
	}
	if len(notes) == 0 || len(notes) > mostValves || !(far > 0) {
		return nil, refuse("fits.count", "kind", "valves", "least", "1", "most", "64")
	}
	w.left, w.scatter = make([]float64, len(w.notes)), make([]float64, len(w.notes))
	return w, nil
}

func (n LashNote) fill(shim, lash Size) (float64, float64) {
	return float64(shim.N) + n.Ratio*float64(lash.N), doubt(term{1, shim}, term{n.Ratio, lash})
}

func (w *lashWork) middle(out *LashCheck) {
	groups := map[string][]int{}
	for i, n := range w.notes {
		groups[n.Group] = append(groups[n.Group], i)
	}
	for name, in := range groups {
		var h, off, u []float64
		for _, i := range in {
			x, d := w.notes[i].fill(w.notes[i].Shim, w.notes[i].Lash)
			h, u = append(h, x), append(u, d)
		}
		m := median(h)
		for _, x := range h {
			off = append(off, math.Abs(x-m))
		}
		s := math.Max(1.4826*median(off), math.Max(median(u), 1))
		out.Scatter[name] = s
		for k, i := range in {
			w.left[i], w.scatter[i] = h[k]-m, s
		}
	}
}

func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[len(s)/2] + s[(len(s)-1)/2]) / 2
}

// changed looks at the equation of a change of shim.
func (w *lashWork) changed(i int) (Suspect, bool) {
	n := w.notes[i]
	if n.Fitted == nil {
		return Suspect{}, false
	}
	before, _ := n.fill(n.Shim, n.Lash)
	after, _ := n.fill(*n.Fitted, *n.After)
	u := math.Max(1, doubt(term{1, n.Shim}, term{n.Ratio, n.Lash}, term{-1, *n.Fitted}, term{-n.Ratio, *n.After}))
	e := after - before
	if math.Abs(e) <= w.far*u {
		return Suspect{}, false
	}
	m := before - w.left[i]
	was, now := math.Abs(before-m), math.Abs(after-m)
	switch s := w.scatter[i]; {
	case was > 2*now && was > w.far*s:
		return w.suspect(i, "shim or lash", before-m, math.Abs(e)/u), true
	case now > 2*was && now > w.far*s:
		return w.suspect(i, "fitted or after", after-m, math.Abs(e)/u), true
	}
	return Suspect{ID: n.ID, What: "any", By: int64(math.Round(e)), Times: math.Abs(e) / u}, true
}

// suspect tries the usual slips on the shim and the lash behind an equation that
// is off.
func (w *lashWork) suspect(i int, what string, by, times float64) Suspect {
	n := w.notes[i]
	shim, lash := n.Shim.N, n.Lash.N
	first, second := "shim", "lash"
	if what == "fitted or after" {
		shim, lash, first, second = n.Fitted.N, n.After.N, "fitted", "after"
	}
	s := Suspect{ID: n.ID, What: what, By: int64(math.Round(by)), Times: times, Noted: shim, Perhaps: shim - int64(math.Round(by))}
	least := w.scatter[i] * 2
	try := func(slip, what, with string, noted, perhaps int64, moves float64) {
		if left := math.Abs(by + moves); left < least {
			least = left
			s.Slip, s.What, s.With, s.Noted, s.Perhaps = slip, what, with, noted, perhaps
		}
	}
	if first == "shim" {
		for k, o := range w.notes {
			// Exchanged: the other equation must come right by it as well.
			if d := float64(o.Shim.N - shim); k != i && math.Abs(w.left[k]) > w.far*w.scatter[k] && math.Abs(w.left[k]-d) < 2*w.scatter[k] {
				try("exchanged", first, o.ID, shim, o.Shim.N, d)
			}
		}
	}
	if s.Slip != "" {
		return s
	}
	for _, t := range swapped(shim) {
		try("digits swapped", first, "", shim, t, float64(t-shim))
	}
	for _, g := range swapped(lash) {
		try("digits swapped", second, "", lash, g, n.Ratio*float64(g-lash))
	}
	if s.Slip != "" {
		return s
	}
	for _, d := range []int64{-100_000, 100_000} {
		try("tenth", first, "", shim, shim+d, float64(d))
		if lash+d >= 0 {
			try("tenth", second, "", lash, lash+d, n.Ratio*float64(d))
		}
	}
	// A lash that could not have been there leaves the shim.
	if g := float64(lash) - by/n.Ratio; s.Slip == "" && (g < 0 || g > 1.5e6) {
		s.What = first
	}
	return s
}

// swapped are a size with two neighbouring digits exchanged, in hundredths or
// thousandths of a millimetre as it was noted.
func swapped(x int64) []int64 {
	places, unit := 3, int64(1000)
	if x%10_000 == 0 {
		places, unit = 2, 10_000
	}
	text := []byte(fmt.Sprintf("%0*d", places+1, x/unit))
	var out []int64
	for k := range len(text) - 1 {
		if text[k] == text[k+1] {
			continue
		}
		other := slices.Clone(text)
		other[k], other[k+1] = other[k+1], other[k]
		v, err := strconv.ParseInt(string(other), 10, 64)
		if err != nil {
			panic("allocate: " + err.Error())
		}
		out = append(out, v*unit)
	}
	return out
}

// ratio estimates the ratio from what the changes of shim did to the lash.
func (w *lashWork) ratio(out *LashCheck) {
	var xy, xx, noise, given float64
	count := 0
	for _, n := range w.notes {
		if n.Fitted == nil {
			continue
		}
		x, y := float64(n.Shim.N-n.Fitted.N), float64(n.After.N-n.Lash.N)
		xy, xx = xy+x*y, xx+x*x
		u := doubt(term{1, *n.After}, term{-1, n.Lash}, term{-1 / n.Ratio, n.Shim}, term{1 / n.Ratio, *n.Fitted})
		noise += x * x * u * u
		given += 1 / n.Ratio
		count++
	}
	if count < 3 || xx == 0 || xy <= 0 {
		return
	}
	slope, u := xy/xx, math.Sqrt(noise)/xx
	if u > slope/5 {
		return
	}
	out.Ratio, out.RatioU = 1/slope, u/(slope*slope)
	out.Doubtful = math.Abs(slope-given/float64(count)) > w.far*u
}
