package assess

import (
	"math"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/know/family"
	"fettle/internal/know/instrument"
	"fettle/internal/maths/gum"
)

// Doubts of a temperature, in kelvin, standard uncertainty. A thermometer on
// the part reads within ±0.5 K; parts that lie in one room differ by a little;
// a temperature that nobody took lies within ±3 K of 20 °C.
// Source: common practice, no source.
const (
	thermometer = 0.25
	soak        = 0.15
	guessed     = 3 / 1.7320508075688772
)

// measured is one reading with its node.
type measured struct {
	*job.Reading
	node   gum.ID
	gauge  string // id, or the type where no gauge was named
	kind   instrument.Instrument
	named  bool // the gauge is known to the shop
	repeat float64
}

// qualify splits the readings of a series into those that were taken under the
// condition the characteristic asks for and those that were not, and makes the
// nodes of the former.
func (e *evaluation) qualify(s *series, p *family.Place) {
	for i := range s.all {
		r := &s.all[i]
		lacks := ""
		for _, c := range p.Char.Condition {
			if !contains(r.Condition, c) {
				lacks = c
				break
			}
		}
		if lacks != "" {
			if !contains(s.lacks, lacks) {
				s.lacks = append(s.lacks, lacks)
			}
			continue
		}
		m := &measured{Reading: r, node: gum.None}
		s.used = append(s.used, m)
	}
	if p.Char.Quantity == family.Check {
		return
	}
	for _, m := range s.used {
		m.gauge, m.kind, m.named = e.gaugeOf(m.Reading, p.Char)
	}
	scatter, dof := observed(s.used)
	for _, m := range s.used {
		m.repeat = m.kind.Repeat.SI()
		d := 0.0
		if dof >= 2 && scatter > m.repeat {
			// One estimate serves all n readings. Each carries an nth of its
			// degrees of freedom, so that their mean comes out with all of them.
			m.repeat, d = scatter, dof/float64(len(s.used))
		}
		m.node = e.read(m, p, d)
	}
}

// observed is the standard deviation of three or more readings of one spot.
func observed(used []*measured) (s, dof float64) {
	if len(used) < 3 {
		return 0, 0
	}
	var sum, sq float64
	for _, m := range used {
		sum += m.Quantity.SI()
	}
	mean := sum / float64(len(used))
	for _, m := range used {
		d := m.Quantity.SI() - mean
		sq += d * d
	}
	dof = float64(len(used) - 1)
	return math.Sqrt(sq / dof), dof
}

// gaugeOf finds the gauge of a reading and its type. Without a known gauge the
// usual type of the characteristic stands in.
func (e *evaluation) gaugeOf(r *job.Reading, c *family.Characteristic) (string, instrument.Instrument, bool) {
	if g := e.Shop.Gauges[r.Gauge]; g != nil {
		if t, ok := e.Library.Instruments[g.Type]; ok {
			return g.Gauge, t, true
		}
	}
	if t, ok := e.Library.Instruments[r.Gauge]; ok {
		return r.Gauge, t, false
	}
	if len(c.Gauges) > 0 {
		return "?" + c.Gauges[0], e.Library.Instruments[c.Gauges[0]], false
	}
	return "?", instrument.Instrument{}, false
}

// read makes the node of one reading: the size at 20 °C for a length, the value
// less its biases for anything else.
//
// Shapes: one reading -> one node.
// Units:  formula unit of the characteristic.
// Source: JCGM 100:2008, 4.3 (type B evaluations) and annex H.1 (model); the
// split of a gauge's doubt into its causes is common practice, no source.
func (e *evaluation) read(m *measured, p *family.Place, dof float64) gum.ID {
	x := m.Quantity.SI()
	step := math.Max(m.Quantity.Resolution(), m.kind.Resolution.SI())
	u := math.Hypot(m.repeat, step/math.Sqrt(12))
	if m.kind.Interval {
		u = math.Hypot(m.repeat, m.kind.Resolution.SI()/math.Sqrt(12))
	}
	ind := e.g.Own(gum.Leaf{Kind: gum.Repeat, Ref: m.gauge, Value: x, U: u, Dof: dof})
	biases := e.biases(m, x)
	if p.Char.Dim() != unit.Length {
		return e.less(ind, biases)
	}
	day := m.Time / (24 * 3600 * 1e6)
	part := e.temperature(m.PartTemp, day, p.Part)
	gauge := e.temperature(m.GaugeTemp, day, "")
	if m.GaugeTemp == "" && m.PartTemp != "" {
		gauge = e.temperature("", day, "")
	}
	id, err := e.g.Apply(e.reduce, [][]gum.ID{{ind}, {e.expansion(e.Layout.Material(p))}, {part}, {e.expansion(m.kind.Material)}, {gauge}, biases})
	if err != nil {
		panic("assess: " + err.Error())
	}
	return id
}

// biases are the causes that stay the same from reading to reading of one
// gauge: its own, that of what it was set on, and the error of the setting.
func (e *evaluation) biases(m *measured, x float64) []gum.ID {
	out := []gum.ID{e.bias(m.gauge, m.kind, m.Time)}
	if rel := m.kind.Relative.SI(); rel > 0 {
		// A part of the reading: the cause is the gauge's own factor.
		id, err := e.g.Apply(scaleBy(x), [][]gum.ID{{e.g.Leaf(gum.Leaf{Key: "relative:" + m.gauge, Kind: gum.Gauge, Ref: m.gauge, U: rel})}})
		if err != nil {
			panic("assess: " + err.Error())
		}
		out = append(out, id)
	}
	if m.kind.Set != "master" {
		return out
	}
	master := m.Master
	if master == "" {
		if g := e.Shop.Gauges[m.gauge]; g != nil {
			master = g.Master
		}
	}
	if master == "" {
		master = "?master-of-" + m.gauge
	}
	day := m.Time / (24 * 3600 * 1e6)
	out = append(out, e.g.Leaf(gum.Leaf{Key: "set:" + m.gauge + "|" + master + "|" + strconv.FormatInt(day, 10), Kind: gum.Master, Ref: m.gauge, U: m.kind.SetRepeat.SI()}))
	if g := e.Shop.Gauges[master]; g != nil {
		if t, ok := e.Library.Instruments[g.Type]; ok {
			return append(out, e.bias(master, t, m.Time))
		}
	}
	return append(out, e.bias(master, m.kind, m.Time))
}

// bias is the leaf of one gauge's bias under the calibration in force.
func (e *evaluation) bias(gauge string, kind instrument.Instrument, at int64) gum.ID {
	l := gum.Leaf{Key: "gauge:" + gauge, Kind: gum.Gauge, Ref: gauge, U: kind.Bias.SI()}
	if g := e.Shop.Gauges[gauge]; g != nil {
		if c, ok := g.At(at); ok {
			l.Key += "@" + strconv.FormatInt(c.Date, 10)
			l.Value, l.U = c.BiasQ.SI(), math.Hypot(c.ExpandedQ.SI()/c.K, kind.Bias.SI())
		}
	}
	return e.g.Leaf(l)
}

// temperature is the node of a part's or gauge's temperature, °C: what the
// thermometer showed that day, shared by all that lay in the same air, and for
// a part how far it may have been from that.
func (e *evaluation) temperature(typed string, day int64, part string) gum.ID {
	at := air{typed, day, part}
	if id, ok := e.airs[at]; ok {
		return id
	}
	l := gum.Leaf{Key: "room:" + strconv.FormatInt(day, 10) + "|" + typed, Kind: gum.PartTemp, Ref: typed, Value: 20, U: guessed, Dist: gum.Rectangular}
	if typed != "" {
		if q, err := unit.Parse(typed, "°C", '.'); err == nil {
			l.Value, l.U, l.Dist = q.SI(), thermometer, gum.Normal
		}
	}
	room := e.g.Leaf(l)
	e.airs[air{typed, day, ""}] = room
	if part == "" {
		return room
	}
	own := e.g.Leaf(gum.Leaf{Key: "soak:" + part + "|" + strconv.FormatInt(day, 10), Kind: gum.PartTemp, Ref: part, U: soak})
	id, err := e.g.Apply(e.rel["sum"], [][]gum.ID{{room, own}})
	if err != nil {
		panic("assess: " + err.Error())
	}
	e.airs[at] = id
	return id
}

// air is what a temperature node is known by: what was typed, the day, and the
// part, "" for a gauge.
type air struct {
	typed string
	day   int64
	part  string
}

// expansion is the leaf of a material's coefficient. A gauge without a scale of
// its own, such as a dial, has none: what it shows is a small difference.
func (e *evaluation) expansion(material string) gum.ID {
	m := e.Library.Materials[material]
	return e.g.Leaf(gum.Leaf{Key: "alpha:" + material, Kind: gum.Expansion, Ref: material, Value: m.Expansion.SI(),
		U: m.HalfWidth.SI() / math.Sqrt(3), Dist: gum.Rectangular})
}

// less is x − Σb for quantities that do not grow with temperature.
func (e *evaluation) less(ind gum.ID, biases []gum.ID) gum.ID {
	id, err := e.g.Apply(withoutBias, [][]gum.ID{{ind}, biases})
	if err != nil {
		panic("assess: " + err.Error())
	}
	return id
}

var withoutBias = &gum.Relation{Name: "without-bias", Equation: "y = x − Σb", Source: "gum-2008",
	In: []gum.Symbol{{Letter: "x", Name: "indication"}, {Letter: "b", Name: "bias", Many: true}},
	Value: func(x [][]float64) (float64, error) {
		y := x[0][0]
		for _, b := range x[1] {
			y -= b
		}
		return y, nil
	},
	Partials: func(x, g [][]float64) {
		g[0][0] = 1
		for i := range g[1] {
			g[1][i] = -1
		}
	}}

// scaleBy turns a relative cause into a bias of a reading x.
func scaleBy(x float64) *gum.Relation {
	return &gum.Relation{Name: "relative", Equation: "b = ρ·x", Source: "gum-2008", In: []gum.Symbol{{Letter: "ρ", Name: "relative"}},
		Value:    func(r [][]float64) (float64, error) { return r[0][0] * x, nil },
		Partials: func(r, g [][]float64) { g[0][0] = x }}
}
