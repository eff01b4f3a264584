package shop

import (
	"maps"
	"slices"
	"sort"

	"fettle/internal/facts/entry"
)

// MachineV1 is one machine or place of work that the shop has.
type MachineV1 struct {
	Machine string `json:"machine"` // id
	Type    string `json:"type"`    // id of a machine in the operations file
	Note    string `json:"note,omitempty"`
	Gone    bool   `json:"gone,omitempty"` // sold, scrapped or out of order
}

// FixtureV1 is one plate, bar or jig that the shop has.
type FixtureV1 struct {
	Fixture  string   `json:"fixture"`            // id
	Type     string   `json:"type"`               // id of a fixture in the operations file
	Families []string `json:"families,omitempty"` // engines it is made for; none means any
	Note     string   `json:"note,omitempty"`
	Gone     bool     `json:"gone,omitempty"`
}

// Plant is the machines and fixtures of a shop.
type Plant struct {
	Machines map[string]MachineV1
	Fixtures map[string]FixtureV1
}

func (p Plant) clone() Plant { return Plant{maps.Clone(p.Machines), maps.Clone(p.Fixtures)} }

// equip takes what is known of a machine or a fixture; a later entry for the
// same id takes the place of an earlier one.
func (s *State) equip(r *entry.Row) bool {
	if r.Kind == entry.MachineKnown {
		var p MachineV1
		if !decode(r.Payload, &p) || p.Machine == "" || p.Type == "" {
			return false
		}
		if s.Machines == nil {
			s.Machines = map[string]MachineV1{}
		}
		s.Machines[p.Machine] = p
		return true
	}
	var p FixtureV1
	if !decode(r.Payload, &p) || p.Fixture == "" || p.Type == "" {
		return false
	}
	if s.Fixtures == nil {
		s.Fixtures = map[string]FixtureV1{}
	}
	s.Fixtures[p.Fixture] = p
	return true
}

// MachinesOf lists the machines of a kind that are there, by id.
func (p *Plant) MachinesOf(kind string) []MachineV1 {
	var out []MachineV1
	for _, m := range p.Machines {
		if m.Type == kind && !m.Gone {
			out = append(out, m)
		}
	}
	sort.Slice(out, func(i, k int) bool { return out[i].Machine < out[k].Machine })
	return out
}

// FixturesOf lists the fixtures of a kind that serve a family and are there.
func (p *Plant) FixturesOf(kind, family string) []FixtureV1 {
	var out []FixtureV1
	for _, f := range p.Fixtures {
		if f.Type == kind && !f.Gone && (len(f.Families) == 0 || slices.Contains(f.Families, family)) {
			out = append(out, f)
		}
	}
	sort.Slice(out, func(i, k int) bool { return out[i].Fixture < out[k].Fixture })
	return out
}
