package library

import (
	"slices"

	"fettle/internal/base/fault"
	"fettle/internal/know/finding"
	"fettle/internal/know/operation"
)

// works is the catalogue of operations with what is wrong with it.
type works struct {
	operations *operation.Catalogue
	faults     fault.List
}

// Operations is the catalogue of the work of a shop. It is read when it is first
// asked for, as that of observations is: no verdict leans on it.
func (l *Library) Operations() *operation.Catalogue { return l.worked().operations }

func readWorked(files Files, l *Library) works {
	text, ok := files["operations.yaml"]
	if !ok {
		return works{operations: operation.None()}
	}
	cat, faults := operation.Read("operations.yaml", text, operation.Known{Source: l.cited,
		Caution: func(id string) bool {
			return slices.ContainsFunc(l.Cautions, func(c finding.Caution) bool { return c.ID == id })
		},
		Answer: func(id, outcome string) bool {
			return slices.ContainsFunc(l.Findings[id].Options, func(o finding.Option) bool { return o.Outcome == outcome })
		}})
	return works{operations: cat, faults: faults}
}
