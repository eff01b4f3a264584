package gallery

import (
	"fmt"
	"io"
	"strings"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/route"
	"fettle/internal/show/view"
)

// worked is a job on which something of everything happened: decided, begun,
// done, done again, forgotten, waited for, opened again. Synthetic.
func (g *gallery) worked(id string, equipped bool) *view.Case {
	l := g.s.lib.Families[id]
	log := newLog(g.t, l, "worked-1", "An engine in the middle of its work, with a title that does not want to end where the line does")
	for i, at := range l.Of("block/bore") {
		v := l.Places[at].Char.Nominal
		typed := fmt.Sprintf("%.3f", v.SI()*1000+0.09+float64(i%5)*0.002)
		log.add(entry.Reading, job.ReadingV1{Position: l.Places[at].ID, State: job.Found, Typed: typed, Value: typed, Unit: "mm"})
	}
	for _, at := range l.Of("cam/timing") {
		log.add(entry.Reading, job.ReadingV1{Position: l.Places[at].ID, State: job.Found, Typed: "110", Value: "110", Unit: "°crank"})
	}
	log.add(entry.Decision, job.DecisionV1{Finding: "seat-run-out@seat/2/I1", Outcome: "rework", Reason: "the owner wants them cut"})
	log.add(entry.Decision, job.DecisionV1{Finding: "deck-flatness@block", Outcome: "rework"})
	log.add(entry.Started, job.StartedV1{Operation: "wall-map"})
	log.add(entry.Done, job.DoneV1{Operation: "wall-map"})
	log.add(entry.Started, job.StartedV1{Operation: "time-cams"})
	log.add(entry.Done, job.DoneV1{Operation: "time-cams"})
	log.add(entry.Overridden, job.OverriddenV1{Gate: "order", Part: "deck", Open: 3, Reason: "the mill was free"})
	log.add(entry.Started, job.StartedV1{Operation: "deck", Machine: "mill-1"})
	log.add(entry.Started, job.StartedV1{Operation: "plate-hone"})
	log.add(entry.Waiting, job.WaitingV1{For: job.ForPart, Operation: "plate-hone", Text: "pistons, promised for the week before last"})
	log.add(entry.Waiting, job.WaitingV1{For: job.ForCustomer})
	log.add(entry.Waiting, job.WaitingV1{For: job.ForCustomer, Over: true})
	sh := shop.Replay(nil)
	if equipped {
		sh.Machines = map[string]shop.MachineV1{"mill-1": {Machine: "mill-1", Type: "boring-mill"}, "bench-1": {Machine: "bench-1", Type: "bench"}}
		sh.Fixtures = map[string]shop.FixtureV1{"arbor": {Fixture: "arbor", Type: "squaring-arbor"}}
	}
	return g.s.judge(g.t, l, log.state(), sh)
}

// works are the pages of work: nothing asked for, everything happening, sent back.
func (g *gallery) works(en, de view.Reader, demo *view.Case) {
	key := strings.Repeat("0", 31) + "9"
	for _, k := range []struct {
		name string
		r    view.Reader
		c    *view.Case
	}{{"demo", en, demo}, {"worked-de", de, g.worked("corran-24-5", true)}, {"worked", en, g.worked("corran-24-5", false)}, {"worked-v8", en, g.worked("skerry-40-8", true)}, {"worked-single", de, g.worked("brae-05-1", true)}} {
		v := k.c.WorkPage(k.r, k.c.StepOf(k.r, key, "", "work"))
		g.add(k.name+"-work", k.r.Lang, func(w io.Writer) error { return g.p.Work(w, v) })
		for _, stage := range []string{"block", "assembly", "head"} {
			aims := []route.Aim{{Part: "block/bore/2", To: "83.512", Unit: "mm"}}
			if t, ok := k.c.TicketPage(k.r, stage, aims); ok {
				g.add(k.name+"-ticket-"+stage, k.r.Lang, func(w io.Writer) error { return g.p.Ticket(w, t) })
			}
		}
	}
	c := g.worked("corran-24-5", true)
	for name, sh := range map[string]*shop.State{"empty": shop.Replay(nil), "some": c.Shop} {
		v := en.MachinesPage(g.s.lib, sh, en.ShopStep(sh, "/machines", key, ""))
		g.add("machines-"+name, "en", func(w io.Writer) error { return g.p.Machines(w, v) })
	}
	wrong := de.MachinesPage(g.s.lib, c.Shop, de.ShopStep(c.Shop, "/machines", key, "").Back("fixture", map[string]string{"id": "a b", "type": "torque-plate"},
		map[string][]string{"id": {"Kein Name."}, "families": {"Für welche Familie?"}}))
	g.add("machines-wrong", "de", func(w io.Writer) error { return g.p.Machines(w, wrong) })
	stop := c.Job.Spans[len(c.Job.Spans)-1].Key
	for act, faults := range map[string]map[string][]string{
		"stop-" + stop: {"at": {"It has run for 31 hours. Say when it stopped."}, "reason": {"Say why."}},
		"start-bore":   {"reason": {"Something comes first."}},
		"done-deck":    {"": {"Deck is not done: 30 of 43 closing readings are missing."}},
		"wait-part":    {"": {"The job waits for that already."}},
		"start-other":  {"operation": {"There is no operation \"lathe\"."}},
	} {
		name, _, _ := strings.Cut(act, stop)
		v := c.WorkPage(en, c.StepOf(en, key, "", "work").Back(act, map[string]string{"operation": "bore", "at": "2026-03-04T11:30"}, faults))
		g.add("work-back-"+strings.TrimSuffix(name, "-"), "en", func(w io.Writer) error { return g.p.Work(w, v) })
	}
}
