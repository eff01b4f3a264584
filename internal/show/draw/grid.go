package draw

import (
	"fettle/internal/show/plot"
)

// grid is the pattern measured on each item of a row, such as three heights
// by two axes on each bore: one seat a cell, and beside the cells, where the
// family derives something from a whole line of them, one seat a line.
type grid struct {
	s          *sheet
	item       []string // dimensions that name the item
	colDim     string
	rowDim     string
	cols, rows []string
	side, foot bool // seats of a whole row beside it, of a whole column below it
	corner     bool // seat of the item itself
}

// mostCells is the longest line of cells that is drawn apart.
const mostCells = 4

// grid finds the pattern of the component on an item: that of the first
// characteristic with most further dimensions.
func (s *sheet) grid(item ...string) grid {
	g := grid{s: s, item: item}
	var rest []string
	for _, i := range s.places {
		if r, ok := further(s.l.Places[i].Char.Per, item); ok && len(r) > len(rest) && len(r) <= 2 && s.short(r) {
			rest = r
		}
	}
	switch {
	case len(rest) == 1 && upright(rest[0]):
		g.rowDim = rest[0]
	case len(rest) == 1:
		g.colDim = rest[0]
	case len(rest) == 2 && (rest[0] == "plane" || upright(rest[1])):
		g.colDim, g.rowDim = rest[0], rest[1]
	case len(rest) == 2:
		g.rowDim, g.colDim = rest[0], rest[1]
	}
	if g.colDim != "" {
		g.cols = s.l.Dims[g.colDim].Values
	}
	if g.rowDim != "" {
		g.rows = s.l.Dims[g.rowDim].Values
	}
	for _, i := range s.places {
		r, ok := further(s.l.Places[i].Char.Per, item)
		if !ok {
			continue
		}
		col, row := g.colDim != "" && contains(r, g.colDim), g.rowDim != "" && contains(r, g.rowDim)
		g.side = g.side || row && !col && g.colDim != ""
		g.foot = g.foot || col && !row && g.rowDim != ""
		g.corner = g.corner || !col && !row
	}
	return g
}

// upright says which dimensions run down a part.
func upright(dim string) bool { return dim == "height" || dim == "level" }

// further returns the dimensions of a pattern beyond those of the item; ok
// when the pattern names the item at all.
func further(per, item []string) (rest []string, ok bool) {
	for _, d := range item {
		if !contains(per, d) {
			return nil, false
		}
	}
	for _, d := range per {
		if !contains(item, d) && d != "bank" {
			rest = append(rest, d)
		}
	}
	return rest, true
}

func (s *sheet) short(dims []string) bool {
	for _, d := range dims {
		if n := len(s.l.Dims[d].Values); n == 0 || n > mostCells {
			return false
		}
	}
	return true
}

// across and down count the lines of cells with those beside them.
func (g grid) across() int { return max(1, len(g.cols)) + one(g.side) }

func (g grid) down() int {
	n := len(g.rows)
	if n == 0 && (len(g.cols) > 0 || g.corner) {
		n = 1
	}
	if g.foot || g.corner && (len(g.rows) > 0 || len(g.cols) > 0) {
		n++
	}
	return n
}

func one(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (g grid) w() float64 { return touch * float64(g.across()) }
func (g grid) h() float64 { return touch * float64(g.down()) }

// lines are the places of the columns and rows of a grid about a middle; the
// cells stand at their crossings.
type lines struct{ x, y []float64 }

// even returns lines touch apart with the grid's corner at the origin.
func (g grid) even() lines {
	var l lines
	for i := range g.across() {
		l.x = append(l.x, touch*(float64(i)+0.5))
	}
	for i := range g.down() {
		l.y = append(l.y, touch*(float64(i)+0.5))
	}
	return l
}

// seats claims the seats of one item. values names the item; cornerAt is where
// the item's own seat goes when it has no line of its own.
func (g grid) seats(at plot.Point, l lines, values ...string) {
	own := make([]string, 0, 2*len(g.item)+4)
	for i, d := range g.item {
		own = append(own, d, values[i])
	}
	put := func(i, j int, more ...string) {
		if i < len(l.x) && j < len(l.y) {
			g.s.seat(at.Add(l.x[i], l.y[j]), append(append([]string(nil), own...), more...)...)
		}
	}
	for j := range max(1, len(g.rows)) {
		for i := range max(1, len(g.cols)) {
			var more []string
			if len(g.rows) > 0 {
				more = append(more, g.rowDim, g.rows[j])
			}
			if len(g.cols) > 0 {
				more = append(more, g.colDim, g.cols[i])
			}
			if len(more) > 0 {
				put(i, j, more...)
			}
		}
		if g.side && len(g.rows) > 0 {
			put(len(g.cols), j, g.rowDim, g.rows[j])
		}
	}
	last := len(l.y) - 1
	if g.foot {
		for i, v := range g.cols {
			put(i, last, g.colDim, v)
		}
	}
	if !g.corner {
		return
	}
	x := l.x[len(l.x)-1]
	switch {
	case !g.foot:
		x = (l.x[0] + x) / 2
	case len(l.x) <= len(g.cols): // the foot is taken up by columns
		x += touch
	}
	g.s.seat(at.Add(x, l.y[last]), own...)
}
