package plan

import "fettle/internal/judge/allocate"

// Shelf is what is at hand and what can be had.
type Shelf struct {
	Parts    []Part
	Offers   []Offer
	Carriage []allocate.Carriage // whole thousandths of Currency
	Currency string
}

// Part is one piece that was measured, or several alike that are known by their
// class; or, with Buy, what a supplier has.
type Part struct {
	ID    string // of the piece or the lot; of the article where it is to be bought
	Kind  string // as the fits name it: shell-main, shim, piston
	Item  string // article by which suppliers know it
	Class string
	Role  string // upper or lower half; "" for either
	Step  int64  // over- or undersize it is made for, nm; 0 for standard
	// Sizes by what was measured, nm, mg or mN: wall, thickness, diameter, mass,
	// load (at the installed height), open (at full lift).
	Sizes map[string]allocate.Size
	Count int
	Buy   bool
}

// Offer is what a supplier asks for an article.
type Offer struct {
	Supplier string
	Item     string
	Price    int64 // of one, whole thousandths of the shelf's currency
	Have     int
	DaysLow  int
	DaysHigh int
}

// The sizes of a part.
const (
	Wall      = "wall"
	Thickness = "thickness"
	Diameter  = "diameter"
	Mass      = "mass"
	Load      = "load"
	Opened    = "open"
)

// of lists the parts of a kind that are made for a step.
func (s Shelf) of(kind string, step int64, sizes ...string) []Part {
	var out []Part
next:
	for _, p := range s.Parts {
		if p.Kind != kind || p.Step != step || p.Count < 1 {
			continue
		}
		for _, name := range sizes {
			if p.Sizes[name].N <= 0 {
				continue next
			}
		}
		out = append(out, p)
	}
	return out
}
