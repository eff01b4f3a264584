package form

import "fmt"

// Grid holds two-point diameters: Grid[level][direction]. Every level is read
// in the same directions.
type Grid [][]float64

// GridZone is a zone on a grid: where it was found, and its partials with
// respect to every diameter of the grid.
type GridZone struct {
	Width float64
	// Level (out-of-round) or Direction (taper) at which the width is greatest;
	// the other is −1.
	Level, Direction int
	// Partials holds ∂Width/∂Grid[level][direction].
	Partials [][]float64
	// Tied: readings are equal, or another level or direction is as bad.
	Tied bool
}

// OutOfRound returns the greatest range of diameter at one level.
//
//	max over levels l of ( max_d D[l][d] − min_d D[l][d] )
//
// It is a range of diameters, twice a change of radius, and shows even lobes
// only; see Diameters.
//
// Shapes: l ≥ 1 levels of d ≥ 2 directions -> zone with l×d partials.
// Units:  any, kept.
// Errors: no level; fewer than two directions; uneven rows; a value that is
// not finite.
// Source: common practice, no source.
func OutOfRound(g Grid) (GridZone, error) {
	if err := g.check(1, 2, "out-of-round"); err != nil {
		return GridZone{}, err
	}
	return g.worst(len(g), len(g[0]), func(line, i int) (int, int) { return line, i }, true)
}

// Taper returns the greatest range of diameter along one direction.
//
//	max over directions d of ( max_l D[l][d] − min_l D[l][d] )
//
// Barrel and waist count as taper here; the sign and the shape along the axis
// are left to the caller.
//
// Shapes: l ≥ 2 levels of d ≥ 1 directions -> zone with l×d partials.
// Units, Errors: as OutOfRound, with two levels and one direction.
// Source: common practice, no source.
func Taper(g Grid) (GridZone, error) {
	if err := g.check(2, 1, "taper"); err != nil {
		return GridZone{}, err
	}
	return g.worst(len(g[0]), len(g), func(line, i int) (int, int) { return i, line }, false)
}

// worst finds the line of the grid with the greatest spread.
func (g Grid) worst(lines, long int, at func(line, i int) (level, direction int), along bool) (GridZone, error) {
	out := GridZone{Width: -1, Level: -1, Direction: -1}
	v := make([]float64, long)
	for line := range lines {
		for i := range v {
			l, d := at(line, i)
			v[i] = g[l][d]
		}
		z, err := Spread(v)
		if err != nil {
			return GridZone{}, err
		}
		if z.Width == out.Width {
			out.Tied = true
		}
		if z.Width <= out.Width {
			continue
		}
		out.Width, out.Tied, out.Partials = z.Width, z.Tied, rows(len(g), len(g[0]))
		if out.Level, out.Direction = line, -1; !along {
			out.Level, out.Direction = -1, line
		}
		for i, p := range z.Partials {
			l, d := at(line, i)
			out.Partials[l][d] = p
		}
	}
	return out, nil
}

func (g Grid) check(levels, directions int, what string) error {
	if len(g) < levels || len(g[0]) < directions {
		wide := 0
		if len(g) > 0 {
			wide = len(g[0])
		}
		return fmt.Errorf("form: %s from %d levels of %d directions: at least %d levels of %d are needed", what, len(g), wide, levels, directions)
	}
	for l, row := range g {
		if len(row) != len(g[0]) {
			return fmt.Errorf("form: level %d has %d diameters, level 0 has %d: every level must be read in the same directions", l, len(row), len(g[0]))
		}
		if err := finite(fmt.Sprintf("level %d diameter", l), row); err != nil {
			return err
		}
	}
	return nil
}
