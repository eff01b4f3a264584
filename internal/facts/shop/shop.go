// Package shop replays the one stream of a workshop: its people, its gauges
// with their calibrations and master checks, its shelf and what can be bought.
package shop

import (
	"bytes"
	"encoding/json"
	"maps"
	"slices"

	"fettle/internal/facts/entry"
)

// PersonV1 is a person; name and address lie in the personal directory.
type PersonV1 struct {
	Person   string `json:"person"` // opaque id
	Initials string `json:"initials"`
	Role     string `json:"role,omitempty"`
}

// GaugeV1 is one gauge or master that the shop owns.
type GaugeV1 struct {
	Gauge  string `json:"gauge"`
	Type   string `json:"type"` // instrument type
	Serial string `json:"serial,omitempty"`
	Master string `json:"master,omitempty"` // what a comparator is usually set on
	Note   string `json:"note,omitempty"`
}

// Gauge is a gauge with its calibrations, oldest first.
type Gauge struct {
	GaugeV1
	Calibrations []Calibration
}

// State is the shop after its entries. Everybody may read one at the same time;
// only Add, which whoever replays calls, changes it.
type State struct {
	People map[string]PersonV1
	Gauges map[string]*Gauge
	Checks []Check // in the order of the log
	Plant          // machines and fixtures
	Terms  *Terms  // what the shop asks, nil where nobody has said; the last hold
	Stock          // lots, suppliers and prices
	Head   entry.Hash
	Seq    int64
	Odd    int // entries kept but not understood
}

// Replay folds rows into a state; it never fails.
func Replay(rows []entry.Row) *State {
	s := &State{People: map[string]PersonV1{}, Gauges: map[string]*Gauge{}}
	for i := range rows {
		s.Add(&rows[i])
	}
	return s
}

// With returns the state after more rows; s stays as it is, and may be read
// meanwhile.
func (s *State) With(rows []entry.Row) *State {
	n := *s
	n.Stock = s.Stock.copied()
	n.People, n.Checks = maps.Clone(s.People), slices.Clone(s.Checks)
	n.Plant = s.Plant.clone()
	n.Gauges = make(map[string]*Gauge, len(s.Gauges))
	for id, g := range s.Gauges {
		n.Gauges[id] = &Gauge{g.GaugeV1, slices.Clone(g.Calibrations)}
	}
	for i := range rows {
		n.Add(&rows[i])
	}
	return &n
}

// Add folds one more row into the state.
func (s *State) Add(r *entry.Row) {
	s.Head, s.Seq = r.Hash, r.Seq
	known := r.Version == 1 || r.Version == 2 && r.Kind == entry.Calibrated
	if !known || !s.apply(r) {
		s.Odd++
	}
}

func (s *State) apply(r *entry.Row) bool {
	switch r.Kind {
	case entry.PersonKnown:
		var p PersonV1
		if !decode(r.Payload, &p) || p.Person == "" {
			return false
		}
		s.People[p.Person] = p
	case entry.GaugeKnown:
		var p GaugeV1
		if !decode(r.Payload, &p) || p.Gauge == "" {
			return false
		}
		if g := s.Gauges[p.Gauge]; g != nil {
			g.GaugeV1 = p
		} else {
			s.Gauges[p.Gauge] = &Gauge{GaugeV1: p}
		}
	case entry.Calibrated:
		return s.calibrate(r)
	case entry.MasterCheck:
		return s.check(r)
	case entry.Terms:
		var p TermsV1
		if !decode(r.Payload, &p) {
			return false
		}
		t, err := ReadTerms(p)
		if err != nil {
			return false
		}
		s.Terms = &t
	case entry.Withdrawal:
		return s.withdraw(r)
	case entry.MachineKnown, entry.FixtureKnown:
		return s.equip(r)
	default:
		return s.stocked(r)
	}
	return true
}

// decode reads a payload; one with a field that this version does not have is
// not understood.
func decode(payload []byte, into any) bool {
	d := json.NewDecoder(bytes.NewReader(payload))
	d.DisallowUnknownFields()
	return d.Decode(into) == nil
}
