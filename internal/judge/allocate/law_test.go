package allocate

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"fettle/internal/base/fault"
)

// shellCase is a random engine and shelf; walls in steps, so that there are ties.
func shellCase(r *rand.Rand) ([]Bearing, []Shell, ShellRules) {
	rules := ShellRules{Target: um(40), Aim: []Aim{Target, Worst, Spread}[r.IntN(3)], Ladder: []string{"a", "b", "c", "d"}, Steps: r.IntN(3)}
	limits := between(0.020+0.001*float64(r.IntN(10)), 0.055+0.001*float64(r.IntN(10)))
	var b []Bearing
	for i := range 1 + r.IntN(5) {
		b = append(b, Bearing{ID: fmt.Sprint("m", i), Housing: Size{N: mm(60.000) + um(float64(r.IntN(12))), U: 1500},
			Journal: Size{N: mm(55.995) + um(float64(r.IntN(12))), U: 1000}, Limits: limits})
	}
	var s []Shell
	for i := range 2 + r.IntN(5) {
		k := r.IntN(4)
		s = append(s, Shell{ID: fmt.Sprint("s", i), Class: rules.Ladder[k], Role: []string{"", "upper", "lower"}[r.IntN(3)],
			Undersize: []int64{0, 0, 0, mm(0.25)}[r.IntN(4)], Wall: Size{N: mm(1.980) + um(float64(4*k+r.IntN(2))), U: 1000}, Count: r.IntN(5), Buy: r.IntN(4) == 0})
	}
	return b, s, rules
}

// figure is what an aim is about, after what is bought.
type figure struct{ bought, first, squares int64 }

func less(a, b figure) bool {
	return a.bought < b.bought || a.bought == b.bought && (a.first < b.first || a.first == b.first && a.squares < b.squares)
}

// tryShells tries every selection that the rules allow, with rules of its own
// wording.
func tryShells(b []Bearing, s []Shell, rules ShellRules) (figure, bool) {
	var best figure
	ok := false
	left := make([]int, len(s))
	for k := range s {
		left[k] = s[k].Count
	}
	var c []int64
	bought := int64(0)
	var next func(i int)
	next = func(i int) {
		if i == len(b) {
			f := figure{bought: bought}
			for _, y := range c {
				d := max(y-rules.Target, rules.Target-y)
				f.squares += d * d
				if rules.Aim == Worst {
					f.first = max(f.first, d)
				}
			}
			if rules.Aim == Spread {
				f.first = slices.Max(c) - slices.Min(c)
			}
			if !ok || less(f, best) {
				best, ok = f, true
			}
			return
		}
		for u := range s {
			for l := range s {
				if s[u].Role == "lower" || s[l].Role == "upper" || s[u].Undersize != b[i].Undersize || s[l].Undersize != b[i].Undersize {
					continue
				}
				step := slices.Index(rules.Ladder, s[u].Class) - slices.Index(rules.Ladder, s[l].Class)
				if step > rules.Steps || -step > rules.Steps {
					continue
				}
				y := b[i].Housing.N - b[i].Journal.N - s[u].Wall.N - s[l].Wall.N
				if y < *b[i].Limits.Low || y > *b[i].Limits.High {
					continue
				}
				left[u]--
				left[l]--
				if left[u] >= 0 && left[l] >= 0 {
					for _, k := range []int{u, l} {
						if s[k].Buy {
							bought++
						}
					}
					c = append(c, y)
					next(i + 1)
					c = c[:len(c)-1]
					for _, k := range []int{u, l} {
						if s[k].Buy {
							bought--
						}
					}
				}
				left[u]++
				left[l]++
			}
		}
	}
	next(0)
	return best, ok
}

func figureOf(p ShellPlan, aim Aim) figure {
	f := figure{squares: p.Squares}
	for _, b := range p.Buy {
		f.bought += int64(b.Count)
	}
	switch aim {
	case Worst:
		f.first = p.Worst
	case Spread:
		f.first = p.Spread
	}
	return f
}

func refusedWith(err error) string {
	for _, f := range fault.All(err) {
		return f.Key
	}
	return ""
}

// Law: shells are those of trying every selection; what cannot be served is named
// and cannot be; more stock and a looser rule are never worse; the order of input
// changes nothing.
func TestLawShells(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	done, none := 0, 0
	for range 1500 {
		b, s, rules := shellCase(r)
		want, ok := tryShells(b, s, rules)
		p, err := Shells(b, s, rules)
		if !ok {
			if k := refusedWith(err); k != "fits.short" && k != "fits.none" {
				t.Fatalf("%v %v: %v, and there is no selection", b, s, err)
			}
			none++
			continue
		}
		done++
		if err != nil || figureOf(p, rules.Aim) != want || p.Proof.Gap != 0 {
			t.Fatalf("%v\n%v\n%v: %+v, %v, by trying all %+v", b, s, rules, p, err, want)
		}
		allowed(t, b, s, p)

		more := slices.Clone(s)
		more[r.IntN(len(more))].Count++
		if q, err := Shells(b, more, rules); err != nil || less(want, figureOf(q, rules.Aim)) {
			t.Fatalf("more stock is worse: %+v, %+v, %v", want, q, err)
		}
		looser := rules
		looser.Steps++
		if q, err := Shells(b, s, looser); err != nil || less(want, figureOf(q, rules.Aim)) {
			t.Fatalf("a looser rule is worse: %+v, %+v, %v", want, q, err)
		}

		pb, ps := r.Perm(len(b)), r.Perm(len(s))
		var b2 []Bearing
		var s2 []Shell
		for _, i := range pb {
			b2 = append(b2, b[i])
		}
		for _, i := range ps {
			s2 = append(s2, s[i])
		}
		q, err := Shells(b2, s2, rules)
		if err != nil {
			t.Fatal(err)
		}
		for k, i := range pb {
			if !reflect.DeepEqual(q.Choices[k], p.Choices[i]) {
				t.Fatalf("in another order %+v, before %+v", q.Choices[k], p.Choices[i])
			}
		}
		q.Choices, p.Choices = nil, nil
		if !reflect.DeepEqual(q, p) {
			t.Fatalf("in another order %+v, before %+v", q, p)
		}
	}
	if done < 200 || none < 200 {
		t.Errorf("%d with a selection, %d without", done, none)
	}
}

// allowed checks that a plan takes no more than there is, and what each runner-up
// costs by trying all selections without it.
func allowed(t *testing.T, b []Bearing, s []Shell, p ShellPlan) {
	t.Helper()
	used := map[string]int{}
	for i, c := range p.Choices {
		used[c.Upper]++
		used[c.Lower]++
		if c.Clearance.Value < *b[i].Limits.Low || c.Clearance.Value > *b[i].Limits.High {
			t.Fatalf("%+v leaves its limits", c)
		}
	}
	for _, k := range s {
		if used[k.ID] > k.Count {
			t.Fatalf("%d of %s, and there are %d", used[k.ID], k.ID, k.Count)
		}
	}
}

// Law: a tighter limit never makes a selection better.
func TestLawTighterLimitsAreNoBetter(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 24))
	n := 0
	for range 400 {
		b, s, rules := shellCase(r)
		p, err := Shells(b, s, rules)
		if err != nil {
			continue
		}
		tight := slices.Clone(b)
		for i := range tight {
			tight[i].Limits = Limits{at(*b[i].Limits.Low + um(3)), at(*b[i].Limits.High - um(3))}
		}
		q, err := Shells(tight, s, rules)
		if err != nil {
			if k := refusedWith(err); k != "fits.short" && k != "fits.none" {
				t.Fatal(err)
			}
			continue
		}
		n++
		if less(figureOf(q, rules.Aim), figureOf(p, rules.Aim)) {
			t.Fatalf("tighter %+v is better than %+v", q, p)
		}
	}
	if n < 30 {
		t.Errorf("only %d could be held tighter", n)
	}
}

func shimCase(r *rand.Rand) ([]Valve, []Spare, ShimRules) {
	ratio := []float64{1, 1.5, 1.7}[r.IntN(3)]
	var v []Valve
	for i := range 1 + r.IntN(5) {
		v = append(v, Valve{ID: fmt.Sprint("v", i), Shim: Size{N: mm(2.3) + um(float64(10*r.IntN(20))), U: 1000}, Lash: Size{N: mm(0.15) + um(float64(10*r.IntN(20))), U: 8000},
			Ratio: ratio, Target: mm(0.22), Limits: between(0.20, 0.25)})
	}
	var s []Spare
	for i := range r.IntN(5) {
		s = append(s, Spare{ID: fmt.Sprint("s", i), Size: Size{N: mm(2.3) + um(float64(10*r.IntN(20)))}, Count: r.IntN(3), Buy: r.IntN(3) == 0})
	}
	rules := ShimRules{}
	if r.IntN(2) == 0 {
		rules.Ladder = Rungs{From: mm(2.25), To: mm(2.55), Step: mm(0.05)}
	}
	return v, s, rules
}

// shimFigure counts without a shim, not of the engine, bought, squares.
type shimFigure [4]int64

func tryShims(v []Valve, s []Spare, rules ShimRules) shimFigure {
	best := shimFigure{1 << 40}
	left, used := make([]int, len(s)), make([]bool, len(v))
	for k := range s {
		left[k] = s[k].Count
	}
	var f shimFigure
	var next func(i int)
	try := func(i int, n int64, own, buy bool) {
		lash := v[i].After(n)
		if lash < *v[i].Limits.Low || lash > *v[i].Limits.High {
			return
		}
		was := f
		if !own {
			f[1]++
		}
		if buy {
			f[2]++
		}
		f[3] += (lash - v[i].Target) * (lash - v[i].Target)
		next(i + 1)
		f = was
	}
	next = func(i int) {
		if i == len(v) {
			if slices.Compare(f[:], best[:]) < 0 {
				best = f
			}
			return
		}
		for k := range v {
			if !used[k] {
				used[k] = true
				try(i, v[k].Shim.N, true, false)
				used[k] = false
			}
		}
		for k := range s {
			if left[k] > 0 {
				left[k]--
				try(i, s[k].Size.N, false, s[k].Buy)
				left[k]++
			}
		}
		if l := rules.Ladder; l.Step > 0 {
			for n := l.From; n <= l.To; n += l.Step {
				try(i, n, false, true)
			}
		}
		f[0]++
		next(i + 1)
		f[0]--
	}
	next(0)
	return best
}

func shimFigureOf(p ShimPlan) shimFigure {
	return shimFigure{int64(len(p.Without)), int64(p.Shelf + p.Bought), int64(p.Bought), p.Squares}
}

// Law: shims are those of trying every assignment, in the order of what counts; the
// order of input changes nothing; one more spare is never worse.
func TestLawShims(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	for range 800 {
		v, s, rules := shimCase(r)
		p, err := Shims(v, s, rules)
		want := tryShims(v, s, rules)
		if err != nil || shimFigureOf(p) != want {
			t.Fatalf("%v\n%v\n%v: %+v, %v, by trying all %v", v, s, rules, p, err, want)
		}
		more := append(slices.Clone(s), Spare{ID: "more", Size: Size{N: mm(2.4)}, Count: 1})
		q, err := Shims(v, more, rules)
		if got := shimFigureOf(q); err != nil || slices.Compare(got[:], want[:]) > 0 {
			t.Fatalf("one more spare is worse: %v, %v", want, got)
		}
		perm := r.Perm(len(v))
		var v2 []Valve
		for _, i := range perm {
			v2 = append(v2, v[i])
		}
		slices.Reverse(s)
		q, err = Shims(v2, s, rules)
		if err != nil {
			t.Fatal(err)
		}
		for k, i := range perm {
			if !reflect.DeepEqual(q.Choices[k], p.Choices[i]) {
				t.Fatalf("in another order %+v, before %+v", q.Choices[k], p.Choices[i])
			}
		}
	}
}

// Law: pairs are those of trying every permutation, by each aim; shafts that are
// added are never worse.
func TestLawPairs(t *testing.T) {
	r := rand.New(rand.NewPCG(27, 28))
	none := 0
	for range 1000 {
		var h []Hole
		var s []Shaft
		limits := between(0.050, 0.072)
		for i := range 1 + r.IntN(5) {
			h = append(h, Hole{ID: fmt.Sprint("h", i), Size: Size{N: mm(85) + um(float64(r.IntN(14)))}, Limits: limits})
		}
		for i := range len(h) + r.IntN(3) {
			s = append(s, Shaft{ID: fmt.Sprint("p", i), Size: Size{N: mm(84.942) + um(float64(r.IntN(14)))}})
		}
		rules := PairRules{Target: um(60), Aim: []Aim{Target, Worst, Spread}[r.IntN(3)]}
		want, ok := tryPairs(h, s, rules)
		p, err := Pairs(h, s, rules)
		if !ok {
			if k := refusedWith(err); k != "fits.short" && k != "fits.none" {
				t.Fatalf("%v %v: %v, and there is no choice", h, s, err)
			}
			none++
			continue
		}
		got := figure{first: map[Aim]int64{Worst: p.Worst, Spread: p.Spread}[rules.Aim], squares: p.Squares}
		if err != nil || got != want {
			t.Fatalf("%v %v %v: %+v, %v, by trying all %+v", h, s, rules, p, err, want)
		}
		more := append(slices.Clone(s), Shaft{ID: "more", Size: Size{N: mm(84.950)}})
		q, err := Pairs(h, more, rules)
		if better := (figure{first: map[Aim]int64{Worst: q.Worst, Spread: q.Spread}[rules.Aim], squares: q.Squares}); err != nil || less(want, better) {
			t.Fatalf("one more shaft is worse: %+v, %+v", want, better)
		}
	}
	if none < 20 {
		t.Errorf("only %d without a choice", none)
	}
}

func tryPairs(h []Hole, s []Shaft, rules PairRules) (figure, bool) {
	var best figure
	ok := false
	used := make([]bool, len(s))
	var c []int64
	var next func(i int)
	next = func(i int) {
		if i == len(h) {
			var f figure
			for _, y := range c {
				d := max(y-rules.Target, rules.Target-y)
				f.squares += d * d
				if rules.Aim == Worst {
					f.first = max(f.first, d)
				}
			}
			if rules.Aim == Spread {
				f.first = slices.Max(c) - slices.Min(c)
			}
			if !ok || less(f, best) {
				best, ok = f, true
			}
			return
		}
		for j := range s {
			y := h[i].Size.N - s[j].Size.N
			if used[j] || y < *h[i].Limits.Low || y > *h[i].Limits.High {
				continue
			}
			used[j], c = true, append(c, y)
			next(i + 1)
			used[j], c = false, c[:len(c)-1]
		}
	}
	next(0)
	return best, ok
}

// Law: sets have the spread of trying every way to put parts together, and so has
// each runner-up.
func TestLawSets(t *testing.T) {
	r := rand.New(rand.NewPCG(29, 30))
	for range 150 {
		n := 2 + r.IntN(3)
		var p []Piece
		mass := make([][]int64, 2+r.IntN(2))
		for k := range mass {
			for i := range n + r.IntN(2)*min(k, 1) {
				m := 100_000 + 100*r.Int64N(40)
				mass[k] = append(mass[k], m)
				p = append(p, Piece{fmt.Sprint("kind", k), fmt.Sprintf("k%d-%d", k, i), Size{N: m}})
			}
		}
		want := trySets(mass, n, nil)
		s, err := Sets(p)
		if err != nil || s.Spread != want || s.Proof.Gap != 0 {
			t.Fatalf("%v: %+v, %v, by trying all %d", mass, s, err, want)
		}
		low, high := s.Sets[0].Mass, s.Sets[0].Mass
		seen := map[string]bool{}
		for _, x := range s.Sets {
			low, high = min(low, x.Mass), max(high, x.Mass)
			for _, id := range x.Parts {
				if seen[id] {
					t.Fatalf("%s in two sets", id)
				}
				seen[id] = true
			}
		}
		if high-low != want {
			t.Fatalf("sets lie %d apart, said %d", high-low, want)
		}
		var parts []int
		for k, id := range s.Sets[0].Parts {
			var j int
			fmt.Sscanf(id, fmt.Sprintf("k%d-%%d", k), &j)
			parts = append(parts, j)
		}
		if got := trySets(mass, n, parts); got != s.Sets[0].Next {
			t.Fatalf("%v without %v: %d, by trying all %d", mass, parts, s.Sets[0].Next, got)
		}
	}
}

// trySets tries every way; without are parts that do not go together in the first
// set. −1 where there is no way.
func trySets(mass [][]int64, n int, without []int) int64 {
	best := int64(-1)
	used := make([][]bool, len(mass))
	for k := range mass {
		used[k] = make([]bool, len(mass[k]))
	}
	sums := make([]int64, 0, n)
	var next func(i, k int, sum int64, parts []int)
	next = func(i, k int, sum int64, parts []int) {
		if i == n {
			if d := slices.Max(sums) - slices.Min(sums); best < 0 || d < best {
				best = d
			}
			return
		}
		if k == len(mass) {
			if without != nil && i == without[0] && slices.Equal(parts, without) {
				return
			}
			sums = append(sums, sum)
			next(i+1, 0, 0, nil)
			sums = sums[:len(sums)-1]
			return
		}
		for j, m := range mass[k] {
			if used[k][j] || k == 0 && j != i {
				continue
			}
			used[k][j] = true
			next(i, k+1, sum+m, append(slices.Clone(parts), j))
			used[k][j] = false
		}
	}
	next(0, 0, 0, nil)
	return best
}

// Law: the doubt of a fit is that of its causes: what is shared with opposite sign
// cancels, with one sign adds up; a class is as wide as its limits say.
func TestLawDoubtOfAFit(t *testing.T) {
	shared := func(u float64) Size { return Size{N: 1, U: 300, Shared: []Share{{"micrometer", u}}} }
	alone := doubt(term{1, Size{U: 300}}, term{-1, Size{U: 300}})
	if got := doubt(term{1, shared(900)}, term{-1, shared(900)}); got != alone {
		t.Errorf("a shared bias leaves %v, expected %v", got, alone)
	}
	if got, want := doubt(term{1, shared(400)}, term{1, shared(400)}), 905.5385138137417; got < want-1e-9 || got > want+1e-9 {
		t.Errorf("%v, expected %v", got, want) // √(2·300² + 800²)
	}
	if g := Graded(1000, 1600); g.N != 1300 || g.U < 173.205 || g.U > 173.206 {
		t.Errorf("%+v, expected 1300 and 600/√12", g)
	}
}

// Law: what is no size, stock, name, limit or ladder is refused with its name.
func TestLawRefusals(t *testing.T) {
	good := func() ([]Bearing, []Shell, ShellRules) {
		return []Bearing{{ID: "m", Housing: Size{N: mm(60)}, Journal: Size{N: mm(56)}}}, []Shell{{ID: "s", Class: "a", Wall: Size{N: mm(1.98)}, Count: 2}}, ShellRules{Target: um(40), Aim: Target}
	}
	for want, spoil := range map[string]func(b []Bearing, s []Shell, r *ShellRules){
		"fits.stock": func(_ []Bearing, s []Shell, _ *ShellRules) { s[0].Count = -1 },
		"fits.size":  func(_ []Bearing, s []Shell, _ *ShellRules) { s[0].Wall.N = 0 },
		"fits.name":  func(b []Bearing, _ []Shell, _ *ShellRules) { b[0].ID = "" },
		"fits.role":  func(_ []Bearing, s []Shell, _ *ShellRules) { s[0].Role = "middle" },
		"fits.class": func(_ []Bearing, _ []Shell, r *ShellRules) { r.Ladder = []string{"b"} },
		"fits.rules": func(_ []Bearing, _ []Shell, r *ShellRules) { r.Aim = "" },
		"fits.short": func(_ []Bearing, s []Shell, _ *ShellRules) { s[0].Count = 1 },
	} {
		b, s, r := good()
		if _, err := Shells(b, s, r); err != nil {
			t.Fatal(err)
		}
		spoil(b, s, &r)
		_, err := Shells(b, s, r)
		if got := refusedWith(err); got != want && !(want == "fits.short" && got == "fits.none") {
			t.Errorf("%v, expected %s", err, want)
		}
	}
	v := valves(between(0.2, 0.3), 1, []float64{2.4}, []float64{0.25})
	for want, spoil := range map[string]func(v []Valve, r *ShimRules){
		"fits.size":        func(v []Valve, _ *ShimRules) { v[0].Shim.N = 0 },
		"fits.ratio":       func(v []Valve, _ *ShimRules) { v[0].Ratio = 0 },
		"fits.lash":        func(v []Valve, _ *ShimRules) { v[0].Lash.N = -1 },
		"fits.lash-limits": func(v []Valve, _ *ShimRules) { v[0].Limits.High = nil },
		"fits.ladder":      func(_ []Valve, r *ShimRules) { r.Ladder.Step = -1 },
	} {
		bad, r := slices.Clone(v), ShimRules{}
		spoil(bad, &r)
		if _, err := Shims(bad, nil, r); refusedWith(err) != want {
			t.Errorf("%v, expected %s", err, want)
		}
	}
	if _, err := Pairs([]Hole{{ID: "a", Size: Size{N: 1}}}, nil, PairRules{Aim: Target}); refusedWith(err) != "fits.enough" {
		t.Error(err)
	}
	if _, err := Sets([]Piece{{"piston", "a", Size{N: 1}}}); refusedWith(err) != "fits.sets" {
		t.Error(err)
	}
	var f *fault.Fault
	if _, err := CheckLash([]LashNote{{ID: "a", Shim: Size{N: 1}, Ratio: 1, Fitted: &Size{N: 1}}}, 3); !errors.As(err, &f) || f.Key != "fits.after" {
		t.Error(err)
	}
}
