package family

import (
	"sort"
	"strings"

	"fettle/internal/base/unit"
)

// figures are the engine's numbers that a binding may name after "engine/".
func (e *Engine) figures() map[string]unit.Quantity {
	m := map[string]unit.Quantity{
		"bore": e.Bore, "stroke": e.Stroke, "rod": e.Rod, "compression-height": e.CompressionHeight,
		"deck-height": e.DeckHeight, "bore-spacing": e.BoreSpacing, "face-width": e.FaceWidth,
		"limiter": e.Limiter, "main-journal": e.MainJournal, "pin-journal": e.PinJournal,
		"lash-ratio": e.Valvetrain.LashRatio, "minimum-head-height": e.Head.MinimumHeight,
		"chain-pitch": e.Drive.Pitch, "taut-run": e.Drive.TautRun,
		"tensioner-stroke": e.Drive.Reserve,
	}
	if len(e.Gaskets) > 0 {
		m["gasket-thickness"], m["gasket-bore"] = e.Gaskets[0].Thickness, e.Gaskets[0].Bore
	}
	for k, q := range m {
		if q.IsZero() {
			delete(m, k)
		}
	}
	return m
}

// Figures lists the names that a binding may use after "engine/".
func (e *Engine) Figures() []string {
	var out []string
	for k := range e.figures() {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// given resolves a binding that is not a characteristic: engine/NAME,
// DIMENSION/x|y|z for every place of the dimension that p touches, or a fixed
// quantity.
func (l *Layout) given(p *Place, b Binding) ([]Given, unit.Dim, bool) {
	head, tail, _ := strings.Cut(b.From, "/")
	if head == "engine" {
		q, ok := l.Family.Engine.figures()[tail]
		if !ok {
			return nil, unit.None, false
		}
		return []Given{{Ref: b.From, Value: q.SI()}}, q.Dim, true
	}
	if d := l.Dims[head]; d != nil && len(tail) == 1 && strings.Contains("xyz", tail) {
		axis := int(tail[0] - 'x')
		var out []Given
		for _, v := range d.Values {
			if !l.sees(p, head, v) || len(b.Where[head]) > 0 && !d.covers(b.Where[head], v) {
				continue
			}
			if only, ok := p.Char.Only[head]; ok && !d.covers(only, v) {
				continue
			}
			at, ok := d.At[v]
			if !ok {
				return nil, unit.None, false
			}
			out = append(out, Given{Ref: head + "/" + v + "/" + tail, Value: at[axis]})
		}
		return out, unit.Length, true
	}
	if q, err := unit.Parse(b.From, "", '.'); err == nil {
		return []Given{{Ref: q.String(), Value: q.SI()}}, q.Dim, true
	}
	return nil, unit.None, false
}

// sees says whether value v of a dimension agrees with place p.
func (l *Layout) sees(p *Place, dim, v string) bool {
	for j, mine := range p.Char.Per {
		if mine == dim {
			return p.At[j] == v
		}
		if touch, ok := l.Dims[mine].Touch[dim]; ok {
			return contains(touch[p.At[j]], v)
		}
	}
	return true
}
