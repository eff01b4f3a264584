package gallery

import (
	"fmt"
	"io"
	"sort"
	"strings"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/gauge"
	"fettle/internal/show/view"
)

// gauges are the register and the pages of gauges: of the demonstration's shop,
// with a certificate, checks of two persons over days, a gauge that moved, and
// everything refused. What is added to the demonstration is synthetic.
func (g *gallery) gauges(en, de view.Reader) {
	none := en.Gauges(nil)
	g.add("gauges-empty", "en", func(w io.Writer) error { return g.p.Gauges(w, none) })
	j, sh := g.s.demo(g.t, "2026-014")
	sh = sh.With(g.checked(sh.Seq))
	var ids []string
	for id := range sh.Gauges {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	var all []view.Known
	by := map[string]view.Known{}
	for _, id := range ids {
		k := g.known(sh, id)
		by[id] = k
		all = append(all, k)
	}
	c := g.s.judge(g.t, g.s.lib.Families[j.Family], j, sh)
	for _, r := range []view.Reader{en, de} {
		register := r.Gauges(all)
		g.add("gauges-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Gauges(w, register) })
		for _, id := range []string{"mic-75-100", "mic-50-75", "caliper-150", "rod-75"} {
			var leans []view.Leaning
			if l := gauge.Leaned(c.Assessment, id, 0, 0); len(l) > 0 {
				leans = append(leans, view.Leaning{Case: c, Leans: l})
			}
			v := g.gaugePage(r, sh, by[id], leans, view.GaugeTyped{}, "", nil)
			g.add("gauge-"+id+"-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Gauge(w, v) })
		}
	}
	bad := g.gaugePage(de, sh, by["mic-75-100"], nil, view.GaugeTyped{Date: "3.2.26", Bias: "1,2,3", BiasUnit: "°C", Coverage: "20"}, "calibration",
		map[string][]string{"": {de.T("bench.other-content")}, "date": {de.T("bench.no-day", "found", "3.2.26")}, "coverage": {de.T("bench.coverage", "found", "20", "least", "1", "most", "10")},
			"person": {de.T("bench.no-person")}})
	g.add("gauge-refused-de", "de", func(w io.Writer) error { return g.p.Gauge(w, bad) })
	k := by["mic-75-100"]
	k.Twice = &gauge.Twice{Unit: "mm", Repeat: 1.52e-6, Dof: 61, Pairs: []gauge.Pair{{A: "p-7a03", B: "p-b1d4", Places: 62, Diff: -2.1e-6, SU: 0.27e-6}, {A: "p-7a03", B: "nobody", Places: 1, Diff: 4e-6}}}
	for _, r := range []view.Reader{en, de} {
		v := g.gaugePage(r, sh, k, nil, view.GaugeTyped{}, "", nil)
		g.add("gauge-twice-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Gauge(w, v) })
	}
	for _, r := range []view.Reader{en, de} {
		v := g.gaugePage(r, sh, k, nil, view.GaugeTyped{}, "certificate", nil)
		o := r.Offered(&k.Calibration.CalibratedV1, []shop.PointV2{{At: "75.0000", Bias: "0.4", Expanded: "1.5"}, {At: "100.0000", Bias: "-1.2", Expanded: "1.8"}}, "mm",
			[]view.Fact{{Name: r.T("page.gauge.lab"), Value: "Invented laboratory for gauges with a name that does not end"}}, []string{r.T("bench.no-serial", "found", "4711")})
		var changes []gauge.Change
		for i, l := range gauge.Leaned(c.Assessment, k.Gauge, 0, 0) {
			if i < 20 {
				changes = append(changes, gauge.Change{Position: l.Position, State: l.State, Before: l.Verdict, After: assess.Undecided})
			}
		}
		o.Reopened, o.Post, o.Carry = []view.ReopenedJob{r.Reopened(c, changes, 41)}, view.GaugeHref(k.Gauge, "certificate"), []view.Fact{{Name: "due", Value: ""}}
		v.Offer = &o
		g.add("gauge-offer-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Gauge(w, v) })
		undo := g.gaugePage(r, sh, k, nil, view.GaugeTyped{}, "withdraw", map[string][]string{"reason": {r.T("bench.no-shop-reason")}})
		undo.Undo = r.Undo(sh, k.Gauge, k.Calibration.Key, k.Calibration, nil)
		undo.Undo.Without(r, []view.Leaning{{Case: c, Leans: gauge.Leaned(c.Assessment, k.Gauge, 0, 0)}}, o.Reopened)
		g.add("gauge-withdraw-"+r.Lang, r.Lang, func(w io.Writer) error { return g.p.Gauge(w, undo) })
	}
}

func (g *gallery) gaugePage(r view.Reader, sh *shop.State, k view.Known, leans []view.Leaning, t view.GaugeTyped, which string, faults map[string][]string) view.Gauge {
	return r.GaugePage(g.s.lib, sh, k, leans, r.GaugeFormFor(g.s.lib, sh, k, strings.Repeat("0", 31)+"5", t, which, faults))
}

// today is long behind the demonstration's calibrations.
const today = int64(1_900_000_000_000_000)

func (g *gallery) known(sh *shop.State, id string) view.Known {
	own := sh.Gauges[id]
	k := view.Known{GaugeV1: own.GaugeV1, Kind: g.s.lib.Instruments[own.Type], Calibrations: own.Calibrations}
	if c, ok := own.At(today); ok {
		k.Calibration, k.Overdue = &c, c.Due != 0 && c.Due < today
	}
	for _, st := range sh.Study(id) {
		if s, ok := gauge.Judge(sh, g.s.lib, st, st.Checks[len(st.Checks)-1].Day()); ok {
			k.Sessions = append(k.Sessions, s)
		}
	}
	for _, c := range sh.Checks {
		if c.Gauge == id {
			k.Checks = append(k.Checks, c)
		}
	}
	return k
}

// checked are a calibration with a curve and a week of checks by two persons,
// the last of which found the gauge 6 µm off.
func (g *gallery) checked(seq int64) []entry.Row {
	var out []entry.Row
	put := func(kind entry.Kind, version int, person string, time int64, payload any) {
		seq++
		e, err := entry.New(entry.ShopStream, entry.Key{9, 14: byte(seq >> 8), 15: byte(seq)}, kind, person, "test", time, payload)
		if err != nil {
			g.t.Fatal(err)
		}
		e.Version = version
		out = append(out, entry.Row{Entry: e, Seq: seq})
	}
	var points []shop.PointV2
	for i, b := range []string{"0.3", "0.8", "1.1", "0.2", "-0.9", "-1.4"} {
		points = append(points, shop.PointV2{At: fmt.Sprintf("%d.0000", 75+5*i), Bias: b, Expanded: fmt.Sprintf("1.%d", 2+i)})
	}
	put(entry.Calibrated, 2, "p-5c1e", when(), shop.CalibratedV2{CalibratedV1: shop.CalibratedV1{Gauge: "mic-75-100", Date: when() - 40*864e8, Due: when() + 200*864e8,
		Bias: "0.0", Unit: "µm", Expanded: "2.4", Coverage: "2", Certificate: "INV-2026-0815"}, AtUnit: "mm", Points: points, File: strings.Repeat("ab", 32)})
	for d := range int64(6) {
		for k, p := range []string{"p-7a03", "p-5c1e"} {
			for n := range int64(2) {
				e := 0.3*float64((d*7+n*3+int64(k)*5)%5) - 0.4
				if d == 5 && k == 1 {
					e += 6
				}
				put(entry.MasterCheck, 1, p, when()+d*864e8+n*1e6+int64(k)*1e7, shop.MasterCheckV1{Gauge: "mic-75-100", Master: "rod-75", True: "75.0000", Read: fmt.Sprintf("%.4f", 75+e*1e-3), Unit: "mm"})
			}
		}
	}
	check := out[len(out)-1].Key.String()
	put(entry.Calibrated, 1, "p-5c1e", when(), shop.CalibratedV1{Gauge: "mic-75-100", Date: when() - 20*864e8, Bias: "98.0", Unit: "µm", Expanded: "2.4", Coverage: "2", Certificate: "INV-2026-0816"})
	put(entry.Withdrawal, 1, "p-5c1e", when(), shop.WithdrawalV1{Target: out[len(out)-1].Key.String(), Reason: "The decimal mark was lost between the paper and the form."})
	put(entry.Withdrawal, 1, "p-7a03", when(), shop.WithdrawalV1{Target: check, Reason: "gauge slipped"})
	return out
}
