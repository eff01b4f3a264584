package allocate

// sweep moves a band over sorted values and finds the narrowest that is possible,
// no wider than is known to be; the low ends of all of that width, and whether
// every question was settled.
func sweep(levels []int64, width int64, possible func(low, high int64) (yes, settled bool)) (int64, []int64, bool) {
	sure := true
	var lows []int64
	for a, b := 0, 0; a < len(levels) && b < len(levels); {
		b = max(a, b)
		if levels[b]-levels[a] > width {
			a++ // no narrower than what is known
			continue
		}
		yes, settled := possible(levels[a], levels[b])
		sure = sure && (settled || yes)
		if !yes {
			b++
			continue
		}
		if levels[b]-levels[a] < width {
			width, lows = levels[b]-levels[a], nil
		}
		lows = append(lows, levels[a])
		a++
	}
	return width, lows, sure
}
