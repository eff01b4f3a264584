package library

import (
	"slices"

	"fettle/internal/base/fault"
	"fettle/internal/know/failure"
	"fettle/internal/know/lubricant"
	"fettle/internal/know/observation"
)

// guides are the files that no verdict leans on, with what is wrong with them.
type guides struct {
	kinds    *observation.Catalogue
	failures *failure.Catalogue
	oils     *lubricant.Shelf
	faults   fault.List
}

// Observations is the catalogue of what a person may see on a part. It is read
// when it is first asked for: no verdict leans on it, and it is no part of the
// digest of a family. A folder without the file has an empty one.
func (l *Library) Observations() *observation.Catalogue { return l.seen().kinds }

// Failures is the catalogue of failure modes for the guide to causes, read in
// the same way.
func (l *Library) Failures() *failure.Catalogue { return l.failed().failures }

// Lubricants are the oils a shop fills, read in the same way: a film that leans
// on one names it, and no verdict leans on a film.
func (l *Library) Lubricants() *lubricant.Shelf { return l.oiled().oils }

// Guides says what is wrong with the files that no verdict leans on.
func (l *Library) Guides() fault.List {
	return slices.Concat(l.seen().faults, l.failed().faults, l.run().faults, l.oiled().faults, l.worked().faults, l.routed().faults)
}

func readSeen(files Files, l *Library) guides {
	text, ok := files["observations.yaml"]
	if !ok {
		return guides{kinds: observation.None()}
	}
	kinds, faults := observation.Read("observations.yaml", text, l.cited)
	return guides{kinds: kinds, faults: faults}
}

func readFailed(files Files, l *Library) guides {
	text, ok := files["failures.yaml"]
	if !ok {
		return guides{failures: &failure.Catalogue{}}
	}
	kinds := l.Observations()
	cat, faults := failure.Read("failures.yaml", text, failure.Known{Source: l.cited,
		Kind: func(id, component string) bool { k, ok := kinds.Kind(id); return ok && k.On(component) },
		Within: func(component, place string) bool {
			for _, w := range kinds.Places(component) {
				if w.ID == place {
					return true
				}
			}
			return false
		}})
	return guides{failures: cat, faults: faults}
}

func readOiled(files Files, l *Library) guides {
	text, ok := files["lubricants.yaml"]
	if !ok {
		return guides{oils: &lubricant.Shelf{}}
	}
	shelf, faults := lubricant.Read("lubricants.yaml", text, l.cited)
	return guides{oils: shelf, faults: faults}
}

// cited reports whether a source is declared.
func (l *Library) cited(id string) bool { _, ok := l.Sources[id]; return ok }
