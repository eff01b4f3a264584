package route

import (
	"fettle/internal/base/unit"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/know/operation"
)

// Aim is where a plan takes a place: part is the characteristic with the first
// of its indices.
type Aim struct{ Part, To, Unit string }

// To is where an operation takes a place, in the unit of the characteristic: the
// aim of the plan for it, else the size of its group, with the stock that is left
// to what follows; "" where neither says.
//
//	to = size + offset
//
// Shapes: one place.
// Units:  those of the characteristic.
// Errors: none; a size that cannot be read says nothing.
// Source: geometry.
func To(a *assess.Assessment, ch *family.Characteristic, index string, s operation.Set, aims []Aim) string {
	part := ch.ID
	if index != "" {
		part += "/" + index
	}
	size := Aim{}
	for i := range a.Targets {
		if t := &a.Targets[i]; s.Rule == operation.GroupSize && t.Group == ch.Target && t.Step != "" {
			size = Aim{part, t.Size, t.Unit}
		}
	}
	for _, x := range aims {
		if x.Part == part && s.Rule != operation.Shift {
			size = x
		}
	}
	q, err := unit.Parse(size.To, size.Unit, '.')
	if err != nil || size.To == "" || q.Dim != ch.Dim() {
		return ""
	}
	return unit.Format(q.SI()+s.Offset.SI(), ch.Unit, max(ch.Decimals, q.Decimals()))
}
