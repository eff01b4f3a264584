package plan

import (
	"slices"
	"strconv"
	"strings"

	"fettle/internal/judge/allocate"
	"fettle/internal/know/route"
)

var grams = scale{"g", 1, 1e6}

// mostTried is how many pistons are weighed against one another; the chooser
// holds no more.
const mostTried = 24

// masses puts rods and pistons together. New pistons are chosen here, by mass,
// for their bores are honed to them afterwards; pistons that have run stay on
// their rods, and what a set weighs above the lightest is left to balance.
func (m *maker) masses(f route.Fit, places []int) error {
	out := Fit{ID: f.ID, Kind: f.Kind, Unit: "g", Choices: []Choice{}}
	_, cut := m.steps[f.Group]
	var cyls []string
	var rods []allocate.Piece
	for _, i := range places {
		p := &m.lay.Places[i]
		cyls = append(cyls, p.At[0])
		at, ok := m.lay.Find(f.With + "/" + p.At[0])
		if !ok {
			continue
		}
		if x, lacks := m.mean([]int{at}, 1e6); lacks == "" {
			rods = append(rods, allocate.Piece{Kind: "rod", ID: "rod/" + p.At[0], Mass: x})
		}
	}
	if cut || slices.ContainsFunc(cyls, func(c string) bool { return m.gone["piston/"+c] }) {
		return m.newSets(f, places, cyls, rods, out)
	}
	var pieces []allocate.Piece
	low := int64(1) << 60
	mass := map[string]int64{}
	for i, at := range places {
		x, lacks := m.mean([]int{at}, 1e6)
		if lacks != "" || len(rods) < len(places) {
			m.lacks(f, m.lay.Places[at].ID, lackOf(lacks, f.With+"/"+cyls[i]))
			continue
		}
		pieces = append(pieces, allocate.Piece{Kind: "piston", ID: "piston/" + cyls[i], Mass: x})
		mass[cyls[i]] = x.N + rods[i].Mass.N
		low = min(low, mass[cyls[i]])
	}
	high := low
	for _, at := range places {
		p := &m.lay.Places[at]
		n, ok := mass[p.At[0]]
		if !ok {
			continue
		}
		high = max(high, n)
		out.Choices = append(out.Choices, Choice{Position: p.ID, Parts: []Chosen{{Role: "rod", ID: "rod/" + p.At[0], From: FromEngine}, {Role: "piston", ID: "piston/" + p.At[0], From: FromEngine}},
			Value: grams.write(n), SI: float64(n) / 1e6, Instead: only("plan.next.stays"), Why: say("plan.why.masses.stays", "above", grams.write(n-low), "unit", "g")})
	}
	if len(pieces) == len(places) && len(pieces) >= 2 && len(pieces) <= 16 {
		p, err := allocate.Sets(append(slices.Clone(rods), pieces...))
		if err != nil {
			return err
		}
		if out.Spread = grams.said(float64(high - low)); p.Spread < high-low {
			out.Notes = append(out.Notes, say("plan.note.masses", "now", out.Spread, "then", grams.said(float64(p.Spread))))
		}
	}
	out.Proof = "stays"
	if len(out.Choices) > 0 {
		m.plan.Fits = append(m.plan.Fits, out)
	}
	return nil
}

func lackOf(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// newSets chooses new pistons for all cylinders.
func (m *maker) newSets(f route.Fit, places []int, cyls []string, rods []allocate.Piece, out Fit) error {
	m.pistons = map[string]Part{}
	var pieces []Part
	for _, bought := range []bool{false, true} {
		for _, x := range m.Shelf.of(f.Part, m.stepOf(f.Group), Diameter) {
			for k := range min(x.Count, len(cyls)) {
				if x.Buy != bought || len(pieces) >= mostTried || bought && len(pieces) >= len(cyls) {
					continue
				}
				one := x
				one.Count = 1
				if x.Count > 1 {
					one.ID += "#" + strconv.Itoa(k+1)
				}
				pieces = append(pieces, one)
			}
		}
	}
	if len(pieces) < len(cyls) {
		m.plan.Conflicts = append(m.plan.Conflicts, m.fewPistons(f, cyls, len(pieces)))
		return nil
	}
	weighed := len(rods) == len(cyls) && len(cyls) >= 2 && len(cyls) <= 16
	for _, x := range pieces {
		weighed = weighed && x.Sizes[Mass].N > 0
	}
	of := map[string]Part{}
	for _, x := range pieces {
		of[x.ID] = x
	}
	if !weighed {
		for i, c := range cyls {
			m.pistons[c] = pieces[i]
			out.Choices = append(out.Choices, Choice{Position: m.lay.Places[places[i]].ID, Parts: []Chosen{chosen("piston", pieces[i], Mass, grams)}, Why: say("plan.why.masses.unweighed"), Instead: only("plan.next.none")})
		}
		out.Proof = "none"
	} else {
		var task []allocate.Piece
		task = append(task, rods...)
		for _, x := range pieces {
			task = append(task, allocate.Piece{Kind: "piston", ID: x.ID, Mass: x.Sizes[Mass]})
		}
		p, err := allocate.Sets(task)
		if err != nil {
			return err
		}
		for _, s := range p.Sets {
			cyl := strings.TrimPrefix(s.Parts[0], "rod/")
			m.pistons[cyl] = of[s.Parts[1]]
		}
		for _, i := range places {
			cyl := m.lay.Places[i].At[0]
			for _, s := range p.Sets {
				if s.Parts[0] != "rod/"+cyl {
					continue
				}
				c := Choice{Position: m.lay.Places[i].ID, Parts: []Chosen{{Role: "rod", ID: s.Parts[0], From: FromEngine}, chosen("piston", of[s.Parts[1]], Mass, grams)},
					Value: grams.write(s.Mass), U: grams.doubt(s.U), SI: float64(s.Mass) / 1e6, SU: s.U / 1e6,
					Why: say("plan.why.masses.chosen", "above", grams.write(s.Above), "unit", "g", "spread", grams.said(float64(p.Spread)))}
				if s.Next >= 0 {
					n := say("plan.next.masses", "spread", grams.said(float64(s.Next)))
					c.Instead = &n
				} else {
					n := say("plan.next.none")
					c.Instead = &n
				}
				out.Choices = append(out.Choices, c)
			}
		}
		out.Spread = grams.said(float64(p.Spread))
		out.prove(p.Proof, grams)
	}
	for _, c := range cyls {
		if x := m.pistons[c]; x.Buy {
			m.need(x, 1, f.ID)
		}
	}
	m.plan.Fits = append(m.plan.Fits, out)
	return nil
}

// fewPistons is the conflict of cylinders that outnumber the pistons of a step: a
// smallest set is one more cylinder than there are pistons.
func (m *maker) fewPistons(f route.Fit, cyls []string, have int) Conflict {
	c := Conflict{ID: f.ID, Members: []Member{{DemandStock, f.Part, say("plan.member.stock", "part", f.Part+" "+m.stepName(f.Group), "n", strconv.Itoa(have))}}}
	for _, cyl := range cyls[:have+1] {
		c.Members = append(c.Members, Member{DemandPlace, "cyl/" + cyl, say("plan.member.place", "place", "cyl/"+cyl)})
	}
	var places []string
	for _, x := range c.Members[1:] {
		places = append(places, x.Ref)
	}
	c.Say = say("plan.conflict.pistons", "places", list(places), "n", strconv.Itoa(have), "step", m.stepName(f.Group))
	c.Ways = []Say{say("plan.way.buy", "part", f.Part+" "+m.stepName(f.Group))}
	return c
}

// stepName is the step of a group in words.
func (m *maker) stepName(group string) string {
	if s := m.stepOf(group); s > 0 {
		return "+" + scale{"mm", 2, nm}.write(s) + " mm"
	}
	return "0.00 mm"
}
