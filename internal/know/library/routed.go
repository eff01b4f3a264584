package library

import (
	"fettle/internal/base/fault"
	"fettle/internal/know/finding"
	"fettle/internal/know/route"
)

// routed is the ways from findings to a plan, with what is wrong with them.
type routed struct {
	routes *route.Catalogue
	faults fault.List
}

// Routes are the ways from findings to a plan. They are read when they are first
// asked for: no verdict leans on them, and they are no part of the digest of a
// family. A folder without the file has none.
func (l *Library) Routes() *route.Catalogue { return l.routed().routes }

func readRoutes(files Files, l *Library) routed {
	text, ok := files["routes.yaml"]
	if !ok {
		return routed{routes: &route.Catalogue{}}
	}
	cat, faults := route.Read("routes.yaml", text, route.Known{Source: l.cited,
		Finding:   func(id string) (finding.Finding, bool) { f, ok := l.Findings[id]; return f, ok },
		Operation: func(id string) bool { return l.Operations().Operation(id) != nil }})
	return routed{cat, faults}
}
