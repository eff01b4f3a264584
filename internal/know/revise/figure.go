package revise

import (
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
)

// Kind is what a figure of an engine is.
type Kind string

// The kinds.
const (
	Size  Kind = "size"  // a quantity
	Count Kind = "count" // a whole number
	Order Kind = "order" // whole numbers
	Steps Kind = "steps" // quantities
)

// Figure is one figure of an engine that a patch may change.
type Figure struct {
	Path  string // engine.bore
	Group string // sizes, head, drive, gaskets, shells
	Word  string // names it: bore, gasket-thickness
	Of    string // which of several: the gasket, the class of a shell, the cam
	Kind  Kind
	Dim   unit.Dim // of Size and Steps
	Text  string   // as it stands, "" where it does not
	Unit  string   // that a person would type it in
}

// Figures lists what a patch may change about an engine, in the order in which
// a drawing would name it.
func Figures(e *family.Engine) []Figure {
	l := figures{}
	l.size("sizes", "bore", e.Bore)
	l.size("sizes", "stroke", e.Stroke)
	l.size("sizes", "rod", e.Rod)
	l.size("sizes", "compression_height", e.CompressionHeight)
	l.size("sizes", "deck_height", e.DeckHeight)
	l.size("sizes", "bore_spacing", e.BoreSpacing)
	l.size("sizes", "face_width", e.FaceWidth)
	l.size("sizes", "bore_depth", e.BoreDepth)
	l.size("sizes", "main_journal", e.MainJournal)
	l.size("sizes", "pin_journal", e.PinJournal)
	l.count("sizes", "cylinders", e.Cylinders)
	l.order("sizes", "firing_order", e.FiringOrder)
	l.some("sizes", "bank_angle", e.BankAngle)
	l.count("sizes", "mains", e.Mains)
	l.count("sizes", "thrust_main", e.ThrustMain)
	l.size("sizes", "limiter", e.Limiter)
	l.steps("sizes", "oversizes", e.Oversizes, true)
	l.steps("sizes", "undersizes.main", e.Undersizes.Main, len(e.Undersizes.Main) > 0)
	l.steps("sizes", "undersizes.pin", e.Undersizes.Pin, len(e.Undersizes.Pin) > 0)
	l.size("head", "head.minimum_height", orUnit(e.Head.MinimumHeight, unit.Length))
	l.size("head", "valves.inlet_head", orUnit(e.Valves.InletHead, unit.Length))
	l.size("head", "valves.exhaust_head", orUnit(e.Valves.ExhaustHead, unit.Length))
	l.size("head", "valves.stem", e.Valves.Stem)
	l.size("head", "valves.length", e.Valves.Length)
	l.size("head", "valves.lift", e.Valves.Lift)
	l.size("head", "valvetrain.lash_ratio", orUnit(e.Valvetrain.LashRatio, unit.Number))
	l.count("head", "valvetrain.cam_journals", e.Valvetrain.CamMains)
	for i, p := range e.Phasers {
		l.of = p.Cam
		l.size("head", at("phasers", i)+".advance_stop", p.AdvanceStop)
		l.size("head", at("phasers", i)+".retard_stop", p.RetardStop)
	}
	l.of = ""
	l.some("drive", "drive.pitch", e.Drive.Pitch)
	if e.Drive.Links > 0 {
		l.count("drive", "drive.links", e.Drive.Links)
	}
	l.count("drive", "drive.crank_teeth", e.Drive.CrankTeeth)
	l.count("drive", "drive.cam_teeth", e.Drive.CamTeeth)
	l.some("drive", "drive.taut_run", e.Drive.TautRun)
	l.some("drive", "drive.inclination", e.Drive.Inclination)
	l.some("drive", "drive.tensioner_stroke", e.Drive.Reserve)
	for i, g := range e.Gaskets {
		l.of = g.ID
		l.size("gaskets", at("gaskets", i)+".thickness", g.Thickness)
		l.size("gaskets", at("gaskets", i)+".bore", g.Bore)
	}
	for i, s := range e.Shells.Main {
		l.of = s.Class
		l.size("shells", at("shells.main", i)+".min", s.Min)
		l.size("shells", at("shells.main", i)+".max", s.Max)
	}
	for i, s := range e.Shells.Pin {
		l.of = s.Class
		l.size("shells", at("shells.pin", i)+".min", s.Min)
		l.size("shells", at("shells.pin", i)+".max", s.Max)
	}
	return l.list
}

func at(list string, i int) string { return list + "[" + strconv.Itoa(i) + "]" }

// orUnit gives a figure that is not there its kind, so that it can be entered.
func orUnit(q unit.Quantity, d unit.Dim) unit.Quantity {
	if q.IsZero() {
		q.Dim, q.Unit = d, unit.Names(d)[0]
	}
	return q
}

type figures struct {
	list []Figure
	of   string
}

func (l *figures) put(group, path string, f Figure) {
	f.Path, f.Group, f.Of = "engine."+path, group, l.of
	word := strings.NewReplacer("_", "-", "[", ".", "]", "").Replace(path)
	var parts []string
	for _, p := range strings.Split(word, ".") {
		if _, err := strconv.Atoi(p); err != nil {
			parts = append(parts, p)
		}
	}
	f.Word = strings.Join(parts, "-")
	l.list = append(l.list, f)
}

func (l *figures) size(group, path string, q unit.Quantity) {
	f := Figure{Kind: Size, Dim: q.Dim, Unit: q.Unit}
	if q.Text != "" {
		f.Text = q.String()
	}
	l.put(group, path, f)
}

// some lists a figure only where the engine has it.
func (l *figures) some(group, path string, q unit.Quantity) {
	if !q.IsZero() {
		l.size(group, path, q)
	}
}

func (l *figures) count(group, path string, n int) {
	f := Figure{Kind: Count}
	if n > 0 {
		f.Text = strconv.Itoa(n)
	}
	l.put(group, path, f)
}

func (l *figures) order(group, path string, list []int) {
	var t []string
	for _, n := range list {
		t = append(t, strconv.Itoa(n))
	}
	l.put(group, path, Figure{Kind: Order, Text: strings.Join(t, ", ")})
}

func (l *figures) steps(group, path string, list []unit.Quantity, shown bool) {
	if !shown {
		return
	}
	var t []string
	f := Figure{Kind: Steps, Dim: unit.Length, Unit: "mm"}
	for _, q := range list {
		t, f.Unit = append(t, q.String()), q.Unit
	}
	f.Text = strings.Join(t, ", ")
	l.put(group, path, f)
}

// kindOf is the kind of a figure by its path below engine; ok is false where a
// patch may not change it.
func kindOf(figure string) (Kind, bool) {
	bare := strings.NewReplacer("0", "", "1", "", "2", "", "3", "", "4", "", "5", "", "6", "", "7", "", "8", "", "9", "").Replace(figure)
	switch bare {
	case "cylinders", "mains", "thrust_main", "valvetrain.cam_journals", "drive.links", "drive.crank_teeth", "drive.cam_teeth":
		return Count, true
	case "firing_order":
		return Order, true
	case "oversizes", "undersizes.main", "undersizes.pin":
		return Steps, true
	case "bore", "stroke", "rod", "compression_height", "deck_height", "bore_spacing", "face_width", "bore_depth", "main_journal", "pin_journal",
		"bank_angle", "limiter", "head.minimum_height", "valves.inlet_head", "valves.exhaust_head", "valves.stem", "valves.length", "valves.lift",
		"valvetrain.lash_ratio", "phasers[].advance_stop", "phasers[].retard_stop", "drive.pitch", "drive.taut_run", "drive.inclination",
		"drive.tensioner_stroke", "gaskets[].thickness", "gaskets[].bore", "shells.main[].min", "shells.main[].max", "shells.pin[].min", "shells.pin[].max":
		return Size, true
	}
	return "", false
}

// written is the text of a figure as the file writes it.
func written(k Kind, text string) (string, error) {
	switch k {
	case Size:
		_, err := exact(text)
		return text, err
	case Count:
		return text, whole(text)
	}
	for _, part := range strings.Split(text, ", ") {
		var err error
		if k == Order {
			err = whole(part)
		} else {
			_, err = exact(part)
		}
		if err != nil {
			return "", err
		}
	}
	return "[" + text + "]", nil
}

// whole accepts a whole number above zero, written plainly.
func whole(text string) error {
	if n, err := strconv.Atoi(text); err != nil || n < 1 || n > 9999 || strconv.Itoa(n) != text {
		return fault.New(fault.Invalid, "revise.not-whole", "found", clip(text))
	}
	return nil
}
