package film

import (
	"errors"
	"fmt"
	"math"
)

// Inlet is the way oil comes into a bearing.
type Inlet uint8

// The inlets.
const (
	NoInlet     Inlet = iota // none that would add to what the ends draw
	RingGroove               // a groove all around, between two lands
	PartGroove               // a groove around a part of the sleeve, of full depth: a main's upper half
	SleeveHole               // a hole in the sleeve
	JournalHole              // a hole in the journal, which turns with it
)

// ShellSpec is a bearing but for its clearance.
type ShellSpec struct {
	Diameter float64 // of the journal, m
	Length   float64 // of the bearing over all, m
	Inlet    Inlet
	Width    float64 // of the groove, along the axis, m
	From, To float64 // of a part groove, angles in the sleeve's frame, rad; From < To
	Hole     float64 // diameter of a hole, m
	HoleAt   float64 // its angle in the sleeve's frame, rad
	// Rq of journal and sleeve, m, for film against roughness; 0 where unknown.
	RoughJournal, RoughSleeve float64
}

// Shell is a bearing made ready: its charts are found.
type Shell struct {
	spec    ShellSpec
	lands   float64 // 1 or 2
	land    float64 // length of one
	chart   *Chart
	gland   float64 // length of a land beside a part groove
	columns *around // of a bearing with one
	lambda  float64 // 1/combined roughness, 1/m
}

// NewShell makes a bearing from its measures.
//
// Shapes: one spec -> one shell.
// Units:  m, rad.
// Errors: measures outside 1 mm to 2 m; a groove as wide as the bearing; a
// part groove of less than 10° or more than 350°; a hole wider than the
// bearing; lands whose L/D the map does not hold.
func (m *Map) NewShell(s ShellSpec) (*Shell, error) {
	switch {
	case !finite(s.Diameter, s.Length, s.Width, s.From, s.To, s.Hole, s.HoleAt, s.RoughJournal, s.RoughSleeve):
		return nil, errors.New("film: a bearing is of finite numbers")
	case s.Diameter < 1e-3 || s.Diameter > 2 || s.Length < 1e-4 || s.Length > 2:
		return nil, fmt.Errorf("film: a bearing of %g m by %g m, expected a diameter of 1 mm to 2 m and a length up to 2 m", s.Diameter, s.Length)
	case s.Inlet > JournalHole:
		return nil, fmt.Errorf("film: inlet %d, expected 0 to %d", s.Inlet, JournalHole)
	case (s.Inlet == RingGroove || s.Inlet == PartGroove) && !(s.Width > 0 && s.Width < 0.9*s.Length):
		return nil, fmt.Errorf("film: a groove %g m wide in a bearing of %g m, expected above 0 and below 0.9 of it", s.Width, s.Length)
	case s.Inlet == PartGroove && !(s.To-s.From > 10*math.Pi/180 && s.To-s.From < 350*math.Pi/180 && math.Abs(s.From) < 100):
		return nil, fmt.Errorf("film: a groove from %g rad to %g rad, expected 10° to 350° of it", s.From, s.To)
	case (s.Inlet == SleeveHole || s.Inlet == JournalHole) && !(s.Hole > 0 && s.Hole < 0.9*s.Length):
		return nil, fmt.Errorf("film: a hole of %g m in a bearing of %g m, expected above 0 and below 0.9 of it", s.Hole, s.Length)
	case !(math.Abs(s.HoleAt) < 100) || s.RoughJournal < 0 || s.RoughSleeve < 0 || s.RoughJournal > 1e-3 || s.RoughSleeve > 1e-3:
		return nil, errors.New("film: a hole's angle is below 100 rad, a roughness 0 to 1 mm")
	}
	out := &Shell{spec: s, lands: 1, land: s.Length}
	var err error
	if s.Inlet == RingGroove {
		out.lands, out.land = 2, (s.Length-s.Width)/2
	}
	if s.Inlet == PartGroove {
		out.gland = (s.Length - s.Width) / 2
		a := lined(s.Length/s.Diameter, s.Width/s.Length, s.From, s.To)
		out.columns = &a
	}
	if out.chart, err = m.Chart(out.land / s.Diameter); err != nil {
		return nil, err
	}
	if r := math.Hypot(s.RoughJournal, s.RoughSleeve); r > 0 {
		out.lambda = 1 / r
	}
	return out, nil
}

// Spec is what the shell was made from.
func (s *Shell) Spec() ShellSpec { return s.spec }
