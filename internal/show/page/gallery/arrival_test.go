package gallery

import (
	"io"
	"strings"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/show/view"
)

// arrived is a job with something on every page that stands before the
// measuring. Synthetic.
func (g *gallery) arrived(id string) *view.Case {
	l := g.s.lib.Families[id]
	log := newLog(g.t, l, "arrived-1", "An engine in a box, with its history on a beer mat and a name that is long")
	note := func(n job.IntakeV1) { log.add(entry.Intake, n) }
	note(job.IntakeV1{History: &job.HistoryV1{Km: "123456.5", Hours: "812", Opened: "2019, or the winter before", By: "the previous owner's brother-in-law",
		Use: "Hillclimb", Symptoms: strings.Repeat("Knocks when hot, and then again it does not. ", 5)}})
	for _, n := range []job.ItemV1{{Name: "Engine, long", Count: 1}, {Name: "Bolts in jam jars", Count: 214, Missing: "two of the head bolts, and the jar of the pan"}, {Name: "Inlet manifold", Count: 0, Missing: "all of it"}} {
		note(job.IntakeV1{Item: &n})
	}
	digest := log.state().ContentsDigest()
	log.add(entry.Signed, job.SignedV1{Covers: job.Contents, Digest: digest, Lines: 3, Name: "A. Customer with a long double-barrelled Name", Role: "customer"})
	note(job.IntakeV1{Item: &job.ItemV1{Name: "Starter motor, found in the boot", Count: 1}})
	note(job.IntakeV1{Said: &job.WordsV1{Text: "It had a sensor when I brought it."}})
	note(job.IntakeV1{Saw: &job.WordsV1{Text: "No sensor; the bolt hole is clean and bright.", Part: l.Family.Components[0].ID}})
	note(job.IntakeV1{Number: &job.NumberV1{Where: "block, left, above the mount", Text: "C5 0038 71 B"}})
	note(job.IntakeV1{Kept: &job.KeptV1{What: "oil", Note: "bottle 3"}})
	log.add(entry.Overridden, job.OverriddenV1{Gate: "drain", Open: 1, Reason: "Came without a filter."})
	note(job.IntakeV1{Drained: &job.DrainedV1{Amount: "3.5 l, grey"}})
	for at, v := range map[string]string{"1": "12.1", "2": "8.2", "3": "8.4", "4": "12.0"} {
		note(job.IntakeV1{Panel: &job.PanelV1{Test: "compression", At: at, Typed: v + " bar", Value: v, Unit: "bar"}})
	}
	note(job.IntakeV1{Panel: &job.PanelV1{Test: "oil-pressure", At: "speed-hot", Typed: "25 psi", Value: "25", Unit: "psi", Rpm: "3000"}})
	note(job.IntakeV1{Hold: &job.HoldV1{Held: true, Why: "dispute about the last rebuild", Parts: []string{"crank", "shell-main"}}})
	labels := job.Labels("arrived-1", l.Parts())
	log.add(entry.Tagged, job.TaggedV1{Tag: labels["rod/1"], Part: "rod/1"})
	log.add(entry.Tagged, job.TaggedV1{Tag: labels["rod/3"], Part: "rod/2", Made: "rod/3", Reason: "the cap says 3, the rod came out of 2"})
	log.add(entry.Overridden, job.OverriddenV1{Gate: "lash", Open: 24, Reason: "The cams were out when it came in."})
	log.add(entry.Cleaned, job.CleanedV1{Part: "crank", Process: "hot-caustic", Checks: []string{"plugs-out", "white-cloth"}, Note: "two hours"})
	log.add(entry.Tested, job.TestedV1{Part: "crank", Method: "magnetic", Result: job.Recordable, By: "the tester two streets on",
		Indications: []job.IndicationV1{{At: "crank", X: "0.5625", Y: "0.4167", Says: "two lines along the grain, 4 mm"}, {At: l.Places[l.Of("crank/main-journal")[5]].ID, Says: "a dot at the oil hole"}}})
	log.add(entry.Tested, job.TestedV1{Part: "rod/2", Method: "magnetic", Result: job.Rejected, Indications: []job.IndicationV1{{At: "rod/2", Says: "crack at the bolt seat"}}})
	log.add(entry.Reading, job.ReadingV1{Position: "head/height/1", State: job.Found, Typed: "120.1 mm", Value: "120.1", Unit: "mm"})
	for _, at := range l.Of("piston/skirt") {
		log.add(entry.Reading, job.ReadingV1{Position: l.Places[at].ID, State: job.Found, Typed: "82.95 mm", Value: "82.95", Unit: "mm"})
	}
	log.add(entry.Reading, job.ReadingV1{Position: l.Places[l.Of("crank/main-journal")[0]].ID, State: job.After("grind"), Typed: "59.7 mm", Value: "59.7", Unit: "mm"})
	return g.s.judge(g.t, l, log.state(), shop.Replay(nil))
}

// arrivals are the pages before the measuring: with nothing, with everything,
// and sent back.
func (g *gallery) arrivals(en, de view.Reader, demo *view.Case) {
	key := strings.Repeat("0", 31) + "9"
	for _, k := range []struct {
		name string
		r    view.Reader
		c    *view.Case
	}{{"demo", en, demo}, {"demo-de", de, demo}, {"empty", en, g.empty("brae-05-1")}, {"arrived", en, g.arrived("tarn-32-6")}, {"arrived-de", de, g.arrived("corran-24-5")}, {"sixteen", de, g.sixteen()}} {
		v := k.c.IntakePage(k.r, k.c.StepOf(k.r, key, "", "intake"))
		g.add(k.name+"-intake", k.r.Lang, func(w io.Writer) error { return g.p.Intake(w, v) })
		s := k.c.StripPage(k.r, k.c.StepOf(k.r, key, "", "strip"))
		g.add(k.name+"-strip", k.r.Lang, func(w io.Writer) error { return g.p.Strip(w, s) })
		for _, id := range []string{"crank", "valve"} {
			if v, ok := k.c.TranscribePage(k.r, id, job.Found, "00000000", k.c.StepOf(k.r, key, "", "transcribe", id)); ok {
				g.add(k.name+"-transcribe-"+id, k.r.Lang, func(w io.Writer) error { return g.p.Transcribe(w, v) })
			}
		}
		all := k.c.CleanPage(k.r, k.c.StepOf(k.r, key, "", "clean"))
		g.add(k.name+"-clean", k.r.Lang, func(w io.Writer) error { return g.p.Clean(w, all) })
		for _, id := range []string{"crank", "head", "rod", "ancillary"} {
			if v, ok := k.c.CleanPartPage(k.r, id, k.c.StepOf(k.r, key, "", "clean", id)); ok {
				g.add(k.name+"-clean-"+id, k.r.Lang, func(w io.Writer) error { return g.p.Clean(w, v) })
			}
		}
	}
	back := demo.StepOf(de, key, "", "intake").Back(job.TopicDrained, map[string]string{"amount": "4 l"},
		map[string][]string{"reason": {de.T("bench.gate-open", "gate", de.GateName(g.s.lib, "drain"))}, "person": {de.T("bench.no-person")}})
	v := demo.IntakePage(de, back)
	g.add("intake-gate-de", "de", func(w io.Writer) error { return g.p.Intake(w, v) })
	panel := demo.StepOf(en, key, "", "intake").Back("panel-compression", map[string]string{"v-1": "12,1.5"},
		map[string][]string{"v-1": {en.T("unit.two-marks", "text", "12,1.5", "mark", ".")}})
	p := demo.IntakePage(en, panel)
	g.add("intake-refused", "en", func(w io.Writer) error { return g.p.Intake(w, p) })
	tag := demo.StepOf(de, key, "", "strip").Back("tag-rod", map[string]string{"part": "rod/3", "tag": "ABCDE2"},
		map[string][]string{"reason": {de.T("bench.tag-elsewhere", "tag", "ABCDE2", "part", "rod/2")}})
	t := demo.StripPage(de, tag)
	g.add("strip-refused-de", "de", func(w io.Writer) error { return g.p.Strip(w, t) })
	stop := demo.StepOf(en, key, "", "clean", "head").Back("cleaned", map[string]string{"part": "head", "process": "hot-caustic"},
		map[string][]string{"process": {en.T("bench.hard-stop", "process", "hot-caustic", "material", "al-si", "why", "It dissolves.")}})
	h, _ := demo.CleanPartPage(en, "head", stop)
	g.add("clean-stopped", "en", func(w io.Writer) error { return g.p.Clean(w, h) })
}
