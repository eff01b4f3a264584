package demo

import (
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/cite"
	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/file"
	"fettle/internal/know/words"
)

// SlipMix is data/demo/slips.yaml: how often people write a number down wrong in
// which way. The format is described in doc/format/slips.md.
type SlipMix struct {
	Format string              `json:"fettle" jsonschema:"enum=slips/1"`
	Note   string              `json:"note"`
	Kinds  []SlipKind          `json:"kinds" jsonschema:"minItems=1"`
	Units  map[string][]string `json:"units" jsonschema:"description=by kind of quantity: units that can be taken for one another"`
}

// SlipKind is one way to slip.
type SlipKind struct {
	ID     string      `json:"id" jsonschema:"enum=digit-swapped,enum=transposed,enum=doubled,enum=dropped,enum=mark-moved,enum=thimble-turn,enum=dial-turn,enum=wrong-unit,enum=axis-exchanged,enum=neighbour-exchanged"`
	Weight int         `json:"weight" jsonschema:"minimum=1,maximum=1000"`
	Status cite.Status `json:"status" jsonschema:"enum=common practice,enum=invented for the demo"`
	Is     words.Text  `json:"is"`
}

// LoadSlips reads a mix. Every problem is reported with its place.
func LoadSlips(name string, text []byte) (SlipMix, fault.List) {
	x, doc, faults := file.Read[SlipMix](name, text, file.Compile(file.Schema(&SlipMix{}, "slips-1.json", "fettle slips, version 1")))
	if doc == nil || len(faults) > 0 {
		return x, faults
	}
	seen := map[string]bool{}
	for i, k := range x.Kinds {
		if seen[k.ID] {
			faults = append(faults, doc.Fault("kinds["+strconv.Itoa(i)+"].id", "family.duplicate", "found", k.ID))
		}
		seen[k.ID] = true
	}
	for _, dim := range slices.Sorted(maps.Keys(x.Units)) {
		want, ok := unit.DimOf(dim)
		if !ok {
			faults = append(faults, doc.Fault("units."+dim, "family.unknown-name", "found", dim, "expected", strings.Join(unit.DimNames(), ", ")))
			continue
		}
		for i, n := range x.Units[dim] {
			if d, _, ok := unit.Of(n); !ok || d != want {
				faults = append(faults, doc.Fault("units."+dim+"["+strconv.Itoa(i)+"]", "family.unknown-name", "found", n, "expected", strings.Join(unit.Names(want), ", ")))
			}
		}
	}
	return x, faults
}

// kind draws one kind by its weight.
func (x *SlipMix) kind(r *rand.Rand) string {
	sum := 0
	for _, k := range x.Kinds {
		sum += k.Weight
	}
	n := r.IntN(sum)
	for _, k := range x.Kinds {
		if n -= k.Weight; n < 0 {
			return k.ID
		}
	}
	return x.Kinds[len(x.Kinds)-1].ID
}
