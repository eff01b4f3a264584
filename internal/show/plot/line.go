package plot

// Line is a line class after ISO 128-2: what a line means gives its width and
// its dashes. Wide is twice narrow.
type Line int

// The line classes.
const (
	NoLine   Line = iota
	Heavy         // the measured engine in a plot
	Wide          // visible edges, limits
	Narrow        // dimension, extension and leader lines
	Hair          // hatching, grids, frames
	Dashed        // hidden edges, what is missing
	Chain         // centre lines, axes of symmetry
	Dotted        // what fades out
	SignDash      // the square of what was not measured
)

type lineRow struct {
	name  string
	width float64
	dash  []float64
}

// row gives widths in sheet units (0.5 mm and 0.25 mm are 1.9 and 0.95;
// slightly less is used because drawings here are small).
func (l Line) row() lineRow {
	switch l {
	case Heavy:
		return lineRow{"heavy", 2.4, nil}
	case Wide:
		return lineRow{"wide", 1.6, nil}
	case Narrow:
		return lineRow{"narrow", 0.8, nil}
	case Hair:
		return lineRow{"hair", 0.5, nil}
	case Dashed:
		return lineRow{"dashed", 0.8, []float64{4, 2.4}}
	case Chain:
		return lineRow{"chain", 0.8, []float64{14, 2.4, 1.2, 2.4}}
	case SignDash:
		return lineRow{"sign", 1.2, []float64{2.4, 1.6}}
	case Dotted:
		return lineRow{"dotted", 0.8, []float64{0.8, 2.4}}
	}
	return lineRow{"narrow", 0.8, nil}
}

// Lines lists every class, for the stylesheet and the legend.
func Lines() []Line { return []Line{Heavy, Wide, Narrow, Hair, Dashed, Chain, Dotted, SignDash} }

// String returns the class name of the line.
func (l Line) String() string { return l.row().name }
