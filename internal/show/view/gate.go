package view

import (
	"fettle/internal/judge/gate"
	"fettle/internal/know/library"
)

// GateName names a gate in the reader's words.
func (r Reader) GateName(lib *library.Library, id string) string {
	switch id {
	case gate.Drain, gate.Cleared, gate.Hold, gate.Order, gate.Leave, gate.Ended:
		return r.T("page.gate." + id)
	}
	for _, g := range lib.Strip.Gates {
		if g.ID == id {
			return g.Name.In(r.Lang)
		}
	}
	return id
}
