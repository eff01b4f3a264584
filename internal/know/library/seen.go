package library

import (
	"fettle/internal/base/fault"
	"fettle/internal/know/observation"
)

// seenFaults is the catalogue of what can be seen, with what is wrong with it.
type seenFaults struct {
	kinds  *observation.Catalogue
	faults fault.List
}

// Observations is the catalogue of what a person may see on a part. It is read
// when it is first asked for: no verdict leans on it, and it is no part of the
// digest of a family. A folder without the file has an empty one.
func (l *Library) Observations() *observation.Catalogue { return l.seen().kinds }

// Guides says what is wrong with the files that no verdict leans on.
func (l *Library) Guides() fault.List { return l.seen().faults }

func readSeen(files Files, l *Library) seenFaults {
	text, ok := files["observations.yaml"]
	if !ok {
		return seenFaults{kinds: observation.None()}
	}
	kinds, faults := observation.Read("observations.yaml", text, l.cited)
	return seenFaults{kinds, faults}
}

// cited reports whether a source is declared.
func (l *Library) cited(id string) bool { _, ok := l.Sources[id]; return ok }
