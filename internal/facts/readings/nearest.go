package readings

import "fettle/internal/know/family"

// nearest finds the position that is spelled most like id, the first of its
// equals in the order of the family; "" where none is near.
func nearest(l *family.Layout, id string) string {
	const longest = 200
	if id == "" || len(id) > longest {
		return ""
	}
	best, name := min(8, max(2, len(id)/4))+1, ""
	for i := range l.Places {
		if d := distance(id, l.Places[i].ID, best); d < best {
			best, name = d, l.Places[i].ID
		}
	}
	return name
}

// distance counts the insertions, deletions and replacements of bytes that
// turn a into b; anything from bound up is returned as bound.
//
// Source: common practice, the dynamic programme over prefixes.
func distance(a, b string, bound int) int {
	if len(a)-len(b) >= bound || len(b)-len(a) >= bound {
		return bound
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal, least := row[0], bound
		row[0] = i + 1
		for j := range len(b) {
			d := diagonal
			if a[i] != b[j] {
				d++
			}
			diagonal = row[j+1]
			row[j+1] = min(d, row[j]+1, row[j+1]+1)
			least = min(least, row[j+1])
		}
		if min(least, row[0]) >= bound {
			return bound
		}
	}
	return min(row[len(b)], bound)
}
