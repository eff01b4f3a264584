package cause

// The ways in which marks lie over the places of an engine.
const (
	One        = "one"        // at one place
	Neighbours = "neighbours" // at two side by side
	Gradient   = "gradient"   // worse towards one end
	All        = "all"        // at all alike
	Scattered  = "scattered"  // at some, without order
)

// Patterns lists them.
func Patterns() []string { return []string{One, Neighbours, Gradient, All, Scattered} }

// Pattern says how marks lie. runs are the places in order, one run a bank; has
// are the places that show the mark, with how bad it is there (0: not said).
// There is no pattern on fewer than two places.
func Pattern(runs [][]string, has map[string]int) string {
	n, marked := 0, 0
	for _, run := range runs {
		for _, p := range run {
			n++
			if _, ok := has[p]; ok {
				marked++
			}
		}
	}
	switch {
	case n < 2 || marked == 0:
		return ""
	case marked == n:
		if rises(runs, has) {
			return Gradient
		}
		return All
	case marked == 1:
		return One
	case marked == 2 && beside(runs, has):
		return Neighbours
	case marked >= 3 && toOneEnd(runs, has):
		return Gradient
	}
	return Scattered
}

// rises says that a mark at every place of three or more grows towards the same
// end in every bank, by two words at least.
func rises(runs [][]string, has map[string]int) bool {
	up, down := true, true
	for _, run := range runs {
		if len(run) < 3 {
			return false
		}
		for i, p := range run {
			if has[p] == 0 {
				return false
			}
			if i > 0 {
				up = up && has[p] >= has[run[i-1]]
				down = down && has[p] <= has[run[i-1]]
			}
		}
		first, last := has[run[0]], has[run[len(run)-1]]
		up, down = up && last-first >= 2, down && first-last >= 2
	}
	return up || down
}

// beside says that two marked places are next to one another in one run.
func beside(runs [][]string, has map[string]int) bool {
	for _, run := range runs {
		for i := 1; i < len(run); i++ {
			_, a := has[run[i-1]]
			_, b := has[run[i]]
			if a && b {
				return true
			}
		}
	}
	return false
}

// toOneEnd says that in each run the marked places are an unbroken row that
// begins at the same end.
func toOneEnd(runs [][]string, has map[string]int) bool {
	front, back := true, true
	for _, run := range runs {
		n := 0
		for _, p := range run {
			if _, ok := has[p]; ok {
				n++
			}
		}
		for i, p := range run {
			_, ok := has[p]
			front = front && ok == (i < n)
			back = back && ok == (i >= len(run)-n)
		}
	}
	return front || back
}

// mostOpen is how many places that nobody looked at are gone through in every
// way; with more, every pattern that is left is taken for possible.
const mostOpen = 12

// Possible lists the patterns that may turn out once the open places are looked
// at as well: one alone where all were.
func Possible(runs [][]string, has map[string]int, open []string) []string {
	found := map[string]bool{}
	if len(open) > mostOpen {
		for _, p := range Patterns() {
			found[p] = p != One || len(has) < 2
		}
	} else {
		all := make(map[string]int, len(has)+len(open))
		for bits := range 1 << len(open) {
			clear(all)
			for p, bad := range has {
				all[p] = bad
			}
			for i, p := range open {
				if bits>>i&1 == 1 {
					all[p] = 0
				}
			}
			found[Pattern(runs, all)] = true
		}
		if len(open) > 0 && found[All] { // how bad it is there may still make an order
			found[Gradient] = true
		}
	}
	var out []string
	for _, p := range Patterns() {
		if found[p] {
			out = append(out, p)
		}
	}
	return out
}
