package lubricant

import (
	"fmt"
	"math"
	"strings"
)

// Cold is the winter part of a grade: cranking and pumping viscosity at low
// temperature, and the least viscosity at 100 °C.
type Cold struct {
	Name     string
	Crank    float64 // most, Pa·s
	CrankAt  float64 // °C
	Pump     float64 // most, Pa·s
	PumpAt   float64
	Least100 float64 // m²/s
}

// Hot is the summer part: viscosity at 100 °C, upper limit not included, and the
// floor of the high-shear viscosity at 150 °C and 10⁶/s.
type Hot struct {
	Name         string
	Least, Below float64 // m²/s
	Floor        float64 // Pa·s
}

// Grade is a grade such as 5W-40, 30 or 0W. A part that it does not have is
// without a name.
type Grade struct {
	Name string
	Cold Cold
	Hot  Hot
}

// Colds lists the winter grades.
//
// Shapes: none -> list.
// Units:  Pa·s, °C, m²/s.
// Errors: none.
// Source: SAE J300 JAN2015, table 1, read as copied in two summaries.
func Colds() []Cold {
	of := func(name string, crank, crankAt, pumpAt, least float64) Cold {
		return Cold{name, crank / 1e3, crankAt, 60, pumpAt, least / perSquare}
	}
	return []Cold{of("0W", 6200, -35, -40, 3.8), of("5W", 6600, -30, -35, 3.8), of("10W", 7000, -25, -30, 4.1),
		of("15W", 7000, -20, -25, 5.6), of("20W", 9500, -15, -20, 5.6), of("25W", 13000, -10, -15, 9.3)}
}

// Hots lists the summer grades; 40 stands there as a grade of its own and with
// 15W to 25W, see GradeOf.
//
// Shapes: none -> list.
// Units:  m²/s, Pa·s.
// Errors: none.
// Source: SAE J300 JAN2015, table 1, read as copied in two summaries.
func Hots() []Hot {
	of := func(name string, least, below, floor float64) Hot {
		return Hot{name, least / perSquare, below / perSquare, floor / 1e3}
	}
	return []Hot{of("8", 4, 6.1, 1.7), of("12", 5, 7.1, 2), of("16", 6.1, 8.2, 2.3), of("20", 6.9, 9.3, 2.6),
		of("30", 9.3, 12.5, 2.9), of("40", 12.5, 16.3, 3.7), of("50", 16.3, 21.9, 3.7), of("60", 21.9, 26.1, 3.7)}
}

// lightFloor is the floor of grade 40 with 0W, 5W and 10W.
const lightFloor = 3.5e-3 // Pa·s

// GradeOf reads a grade: 5W-40, 10W60, 30, 0W.
//
// Shapes: text -> grade.
// Units:  Pa·s, °C, m²/s.
// Errors: no grade of the table; two parts of which neither is a winter grade.
// Source: SAE J300 JAN2015, table 1, read as copied in two summaries.
func GradeOf(name string) (Grade, error) {
	cold, hot := "", strings.ToUpper(strings.TrimSpace(strings.TrimPrefix(strings.ToUpper(strings.TrimSpace(name)), "SAE")))
	if i := strings.IndexByte(hot, 'W'); i >= 0 {
		cold, hot = hot[:i+1], strings.TrimPrefix(strings.TrimSpace(hot[i+1:]), "-")
	}
	g := Grade{Name: cold}
	for _, c := range Colds() {
		if c.Name == cold {
			g.Cold = c
		}
	}
	for _, h := range Hots() {
		if h.Name == hot {
			g.Hot = h
		}
	}
	if g.Cold.Name != cold || g.Hot.Name != hot || cold+hot == "" {
		return Grade{}, fmt.Errorf("lubricant: %q is no grade: expected such as 5W-40, 30 or 0W, with 0W to 25W and 8 to 60", name)
	}
	if g.Hot.Name == "40" && (cold == "0W" || cold == "5W" || cold == "10W") {
		g.Hot.Floor = lightFloor
	}
	switch {
	case cold == "":
		g.Name = hot
	case hot != "":
		g.Name = cold + "-" + hot
	}
	return g, nil
}

// Short says by what an oil misses a grade.
type Short string

// What an oil may miss: too thin or too thick at 100 °C, under the floor of the
// high-shear viscosity, too thick when cold for cranking or for the pump.
const (
	TooThin   Short = "too-thin"
	TooThick  Short = "too-thick"
	LowShear  Short = "high-shear"
	CrankCold Short = "cranking-cold"
	PumpCold  Short = "pumping-cold"
)

// Tested is what was measured of an oil; nought where it was not.
type Tested struct {
	At100     float64 // m²/s
	HighShear float64 // Pa·s
	Crank     float64 // Pa·s, at the temperature of the grade
	Pump      float64
}

// Misses lists what of a grade an oil misses; what was not measured is passed
// over. The upper limit at 100 °C is not part of the grade.
//
// Shapes: values -> list, empty where nothing is missed.
// Units:  m²/s, Pa·s.
// Errors: none.
// Source: SAE J300 JAN2015, table 1.
func (g Grade) Misses(x Tested) []Short {
	var out []Short
	miss := func(is bool, s Short) {
		if is {
			out = append(out, s)
		}
	}
	// A printed limit and a typed value meet exactly, whatever halves of a last
	// binary digit the change of unit left.
	const hair = 1e-12
	if x.At100 > 0 {
		miss(x.At100 < math.Max(g.Hot.Least, g.Cold.Least100)*(1-hair), TooThin)
		miss(g.Hot.Below > 0 && x.At100 >= g.Hot.Below*(1-hair), TooThick)
	}
	miss(x.HighShear > 0 && x.HighShear < g.Hot.Floor*(1-hair), LowShear)
	miss(g.Cold.Crank > 0 && x.Crank > g.Cold.Crank*(1+hair), CrankCold)
	miss(g.Cold.Pump > 0 && x.Pump > g.Cold.Pump*(1+hair), PumpCold)
	return out
}

// Within lists the summer grades whose viscosity at 100 °C an oil has; grades
// below 20 overlap.
//
// Shapes: scalar -> list of names.
// Units:  m²/s.
// Errors: none.
// Source: SAE J300 JAN2015, table 1.
func Within(at100 float64) []string {
	var out []string
	for _, h := range Hots() {
		if len((Grade{Hot: h}).Misses(Tested{At100: at100})) == 0 && at100 > 0 {
			out = append(out, h.Name)
		}
	}
	return out
}
