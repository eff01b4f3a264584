package assess

import (
	"fmt"
	"sort"

	"fettle/internal/base/fault"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/compute"
	"fettle/internal/judge/rule"
	"fettle/internal/know/family"
	"fettle/internal/maths/gum"
)

// Evaluate is the one function of judgement: same inputs, same bytes.
//
// Errors: a fault where the facts do not belong to this family or the plan
// names something the family does not have. Findings are no errors.
func Evaluate(k Knowledge, f Facts, p Plan) (*Assessment, error) {
	if k.Layout == nil || f.Job == nil {
		return nil, fault.New(fault.Invalid, "assess.nothing")
	}
	fam := k.Layout.Family
	if f.Job.Family != "" && f.Job.Family != fam.ID {
		return nil, fault.New(fault.Conflict, "assess.other-family", "job", f.Job.Family, "family", fam.ID)
	}
	by, err := rule.Named(p.Rule, p.Risk)
	if err != nil {
		return nil, err
	}
	e := &evaluation{Knowledge: k, Facts: f, plan: p, by: by, g: gum.New(), rel: compute.NewRegister(), reduce: compute.Reduce(),
		nodes: map[spot]gum.ID{}, airs: map[air]gum.ID{}, latest: map[int][]int{}, agreed: map[spot]bool{}}
	if e.Shop == nil {
		e.Shop = &shop.State{}
	}
	e.scope()
	e.group()
	e.measure()
	if err := e.changes(); err != nil {
		return nil, err
	}
	e.derive()
	e.classify()
	a := &Assessment{Format: "assessment/1", Job: f.Job.OpenedV1.Job, Title: f.Job.Title, Invented: f.Job.Invented,
		Family: fam.ID, Digest: k.Library.Digests[fam.ID], Rule: by, Findings: []Finding{}, Questions: []Question{}, Targets: []Target{}}
	e.values(a)
	e.ask(a)
	if err := e.targets(a); err != nil {
		return nil, err
	}
	e.find(a)
	e.seconds(a)
	e.tally(a)
	e.series = nil // the readings are written out; what explains values stays
	a.e = e
	return a, nil
}

// spot is a place in a state.
type spot struct{ place, state int }

// series is the readings of one spot.
type series struct {
	spot
	all   []job.Reading // that count, by ordinal
	voids []job.Reading // corrected or withdrawn
	used  []*measured   // those that meet the condition
	lacks []string      // conditions that were not so
}

type evaluation struct {
	Knowledge
	Facts
	plan    Plan
	by      rule.Rule
	g       *gum.Graph
	rel     compute.Register
	reduce  *gum.Relation
	states  []string // ordered: found first, built last
	series  map[spot]*series
	order   []spot // of series, by place and state
	nodes   map[spot]gum.ID
	airs    map[air]gum.ID
	within  []bool              // place -> it belongs to this job
	classes map[classed]float64 // step a group stands at, signed, formula units
	latest  map[int][]int       // place -> states in which it has a node, rising
	missing map[spot][]string
	broken  map[spot]string // derived places whose relation has no value there
	width   []float64       // place -> its tolerance, formula units; 0 where nothing tells
	medians map[group]expectation
	agreed  map[spot]bool     // two readings agree within a quarter of the tolerance
	remarks map[spot][]remark // of measured spots at first; nil where there are none
	reads   int
}

// group sorts the readings into series by place and state.
func (e *evaluation) group() {
	e.series, e.missing, e.broken = map[spot]*series{}, map[spot][]string{}, map[spot]string{}
	rank := map[string]int{}
	e.states = []string{job.Found}
	for i := range e.Job.Readings {
		s := e.Job.Readings[i].State
		if s != job.Found && !contains(e.states, s) {
			e.states = append(e.states, s)
		}
	}
	turn := map[string]int64{}
	for _, s := range e.states {
		turn[s] = e.Job.Turn(s)
	}
	sort.SliceStable(e.states, func(i, j int) bool {
		a, b := e.states[i], e.states[j]
		if ra, rb := job.RankState(a), job.RankState(b); ra != rb {
			return ra < rb
		}
		return turn[a] < turn[b]
	})
	for i, s := range e.states {
		rank[s] = i
	}
	for i := range e.Job.Readings {
		r := e.Job.Readings[i]
		at, ok := e.Layout.Find(r.Position)
		if !ok || !e.inScope(at) || e.foreign(&r, at) {
			continue
		}
		sp := spot{at, rank[r.State]}
		s := e.series[sp]
		if s == nil {
			s = &series{spot: sp}
			e.series[sp] = s
			e.order = append(e.order, sp)
		}
		if r.Counts() {
			s.all = append(s.all, r)
			e.reads++
		} else {
			s.voids = append(s.voids, r)
		}
	}
	sort.Slice(e.order, func(i, j int) bool {
		if e.order[i].place != e.order[j].place {
			return e.order[i].place < e.order[j].place
		}
		return e.order[i].state < e.order[j].state
	})
	for _, s := range e.series {
		sort.SliceStable(s.all, func(i, j int) bool { return s.all[i].Ordinal < s.all[j].Ordinal })
		for i := range s.all {
			s.all[i].Ordinal = i + 1 // as the assessment counts them: only those that count
		}
	}
}

// foreign reports a reading whose quantity is not that of its place: entry
// refuses it, an old log may hold one.
func (e *evaluation) foreign(r *job.Reading, at int) bool {
	c := e.Layout.Places[at].Char
	if c.Quantity == family.Check {
		return r.Unit != ""
	}
	return r.Quantity.Dim != c.Dim()
}

// scope marks the places that belong to this job: those of a system in scope
// that lean on nothing outside it.
func (e *evaluation) scope() {
	e.within = make([]bool, len(e.Layout.Places))
	for _, at := range e.Layout.Order {
		p := &e.Layout.Places[at]
		c := e.Layout.Component(p.Char.Component())
		in := c == nil || e.Job.InScope(c.System)
		for _, s := range p.In {
			for _, k := range s.Places {
				in = in && e.within[k]
			}
		}
		e.within[at] = in
	}
}

func (e *evaluation) inScope(at int) bool { return e.within[at] }

// measure makes the node of every measured spot: the mean of its readings.
func (e *evaluation) measure() {
	mean := e.rel["mean"]
	for _, sp := range e.order {
		s := e.series[sp]
		p := &e.Layout.Places[sp.place]
		if p.Char.Relation != "" {
			continue // typed beside a derived value: kept and shown, not used
		}
		e.qualify(s, p)
		if p.Char.Quantity == family.Check || len(s.used) == 0 {
			continue
		}
		ids := make([]gum.ID, len(s.used))
		for i, m := range s.used {
			ids[i] = m.node
		}
		id := ids[0]
		if len(ids) > 1 {
			var err error
			if id, err = e.g.Apply(mean, [][]gum.ID{ids}); err != nil {
				panic("assess: " + err.Error())
			}
		}
		e.put(sp, id)
	}
}

func (e *evaluation) put(sp spot, id gum.ID) {
	e.nodes[sp] = id
	e.latest[sp.place] = append(e.latest[sp.place], sp.state)
}

// derive walks the places in order and applies their relations in each state.
func (e *evaluation) derive() {
	for _, at := range e.Layout.Order {
		p := &e.Layout.Places[at]
		if p.Char.Relation == "" || !e.inScope(at) {
			continue
		}
		for st := range e.states {
			e.apply(spot{at, st}, p)
		}
	}
}

// apply gives a derived place its node in a state: each input is taken in its
// latest state up to that one; in a later state only if something it leans on
// was measured in it.
func (e *evaluation) apply(sp spot, p *family.Place) {
	args := make([][]gum.ID, len(p.In))
	fresh := sp.state == 0
	for i, in := range p.In {
		for _, g := range in.Given {
			if y, ok := e.plan.Figures[g.Ref]; ok && e.states[sp.state] == job.Planned {
				g.Value, fresh = y, true
			}
			args[i] = append(args[i], e.g.Leaf(gum.Leaf{Key: fmt.Sprintf("given:%s=%v", g.Ref, g.Value), Kind: gum.Given, Ref: g.Ref, Value: g.Value}))
		}
		for _, at := range in.Places {
			st, ok := e.stateOf(at, sp.state)
			if !ok {
				e.missing[sp] = append(e.missing[sp], e.Layout.Places[at].ID)
				continue
			}
			fresh = fresh || st == sp.state
			args[i] = append(args[i], e.nodes[spot{at, st}])
		}
	}
	if !fresh {
		delete(e.missing, sp)
		return
	}
	if len(e.missing[sp]) > 0 {
		return
	}
	id, err := e.g.Apply(e.rel[p.Char.Relation], args)
	if err != nil {
		e.broken[sp] = err.Error()
		return
	}
	e.put(sp, id)
}

// stateOf finds the latest state up to st in which a place has a node.
func (e *evaluation) stateOf(at, st int) (int, bool) {
	best, ok := 0, false
	for _, s := range e.latest[at] {
		if s <= st && (!ok || s > best) {
			best, ok = s, true
		}
	}
	return best, ok
}

func contains(list []string, s string) bool {
	for _, v := range list {
		if v == s {
			return true
		}
	}
	return false
}
