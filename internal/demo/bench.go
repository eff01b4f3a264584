package demo

import (
	"math"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/know/family"
	"fettle/internal/know/instrument"
	"fettle/internal/know/library"
)

// usualBias is how large a bias a certificate states, in standard uncertainties
// of the calibration.
const usualBias = 1.5

func decimals(g Gauge) int { return max(1, g.Expanded.Decimals()) }

// tool is a gauge of the shop as it really is.
type tool struct {
	Gauge
	kind   instrument.Instrument
	bias   float64 // indication less true size, formula units
	scale  float64 // part of the reading by which it is wrong besides
	stated string  // what the calibration says of the bias, in the unit of Expanded
}

// bench is the shop's gauges and the materials as they really are.
type bench struct {
	tools map[string]*tool
	order []string
	alpha map[string]float64 // true expansion by material
}

// equip draws the bias of every gauge once. A calibrated gauge has the bias that
// its certificate states, with an error of the stated uncertainty, and on top
// of it what stays after calibration; one that is not has only the latter.
func equip(s *Shop, lib *library.Library, luck chance) (*bench, fault.List) {
	b := &bench{tools: map[string]*tool{}, alpha: map[string]float64{}}
	var faults fault.List
	for _, g := range s.Gauges {
		kind, ok := lib.Instruments[g.Type]
		if !ok {
			faults = append(faults, fault.New(fault.Missing, "family.unknown-instrument", "found", g.Type))
			continue
		}
		t := &tool{Gauge: g, kind: kind,
			bias: si(kind.Bias) * luck.normal("bias", g.ID), scale: si(kind.Relative) * luck.normal("scale", g.ID)}
		if u := si(g.Expanded) / 2; u > 0 {
			t.stated = unit.Format(usualBias*u*luck.normal("certificate", g.ID), g.Expanded.Unit, decimals(g))
			found, err := unit.Parse(t.stated, g.Expanded.Unit, '.')
			if err != nil {
				panic("demo: own certificate: " + err.Error())
			}
			t.bias += found.SI() + u*luck.normal("calibration", g.ID)
		}
		b.tools[g.ID] = t
		b.order = append(b.order, g.ID)
	}
	for id, m := range lib.Materials {
		b.alpha[id] = m.Expansion.SI() + m.HalfWidth.SI()*luck.even("expansion", id)
	}
	return b, faults
}

// pick is the gauge for a place, and what it is set on: as the truth says, else
// the first gauge of the characteristic's usual types that reaches the size.
func (b *bench) pick(t *Truth, p *family.Place, size float64) (gauge, master *tool) {
	for _, u := range t.Uses {
		if !like(u.Of, p.Char.ID) {
			continue
		}
		if g := b.tools[u.Gauge]; g != nil && gauge == nil {
			gauge = g
		}
		if m := b.tools[u.Master]; m != nil && master == nil {
			master = m
		}
	}
	for _, kind := range p.Char.Gauges {
		for _, id := range b.order {
			if g := b.tools[id]; gauge == nil && g.Type == kind && g.reaches(size) {
				gauge = g
			}
		}
	}
	if gauge != nil && master == nil {
		master = b.tools[gauge.Master]
	}
	return gauge, master
}

func (t *tool) reaches(size float64) bool {
	return (t.From.IsZero() || size >= t.From.SI()) && (t.To.IsZero() || size <= t.To.SI())
}

// sight is one look at one place.
type sight struct {
	size         float64 // true, at 20 °C
	gauge        *tool
	master       *tool
	part, scale  float64 // true temperatures of the part and of the scale, °C
	partOf       string  // material of the part
	setting      float64 // standard normal draw of this setting
	scatter      float64 // standard normal draw of this reading
	shownIn      string  // unit
	leastDecimal int
}

// shows returns what the gauge indicates, and the size that a person writes.
//
//	x = d·[1 + α(T - 20)]/[1 + α′(T′ - 20)]·(1 + ρ) + b + b_master + e_setting + e
//
// Units: formula units; temperatures in °C.
// Source: ISO 1:2022 for the reference temperature; the rest is what the
// words mean: a comparator repeats the error of what it was set on.
func (b *bench) shows(s sight) string {
	x := s.size
	k := s.gauge.kind
	if k.Resolution.Dim == unit.Length {
		x *= (1 + b.alpha[s.partOf]*(s.part-20)) / (1 + b.alpha[k.Material]*(s.scale-20))
	}
	x = x*(1+s.gauge.scale) + s.gauge.bias + si(k.Repeat)*s.scatter
	if k.Set == "master" {
		x += si(k.SetRepeat) * s.setting
	}
	if k.Set == "master" && s.master != nil {
		x += s.master.bias
	}
	return written(x, k.Resolution, s.shownIn, s.leastDecimal)
}

// written rounds to whole steps of the gauge and writes the number with as many
// decimals as the step has in this unit.
func written(x float64, step unit.Quantity, in string, least int) string {
	r := step.SI()
	n := math.Round(x / r)
	d := least
	for d < 6 {
		v := unit.FromSI(r, in) * math.Pow10(d)
		if math.Abs(v-math.Round(v)) < 1e-6 {
			break
		}
		d++
	}
	// By way of the shortest text of the step, so that 83.0115 does not fall
	// on the wrong side in binary.
	u, _ := strconv.ParseFloat(strconv.FormatFloat(unit.FromSI(r, in), 'g', 12, 64), 64)
	return unit.Format(unit.ToSI(n*u, in), in, d)
}
