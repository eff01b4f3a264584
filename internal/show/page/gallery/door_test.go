package gallery

import (
	"io"
	"strings"
	"testing"

	"fettle/internal/facts/shop"
	"fettle/internal/show/view"
)

// door are the pages at the door; people, devices and prints are synthetic.
func (g *gallery) door(t testing.TB, en, de view.Reader) {
	people := []view.Choice{{Value: "p-1", Text: "Ada Brown · AB"}, {Value: "p-2", Text: "Bo Carter · BC"}}
	long := []view.Choice{{Value: "p-1", Text: "Maximiliane-Charlotte von Hohenbrunn-Oberschleißheim · MCHO", Chosen: true}}
	for i := range 14 {
		long = append(long, view.Choice{Value: "p-" + string(rune('a'+i)), Text: "Person " + string(rune('A'+i)) + " · P" + string(rune('A'+i))})
	}
	served := view.Served{Plain: "http://shop.test:8431/", Secure: "https://shop.test:8430/", Fingerprint: strings.Repeat("A1:0F:", 15) + "A1:0F"}
	for _, k := range []struct {
		name string
		r    view.Reader
	}{{"", en}, {"-de", de}} {
		r, lang := k.r, k.r.Lang
		first := r.FirstPage(nil, view.FirstTyped{}, nil)
		g.add("door-first"+k.name, lang, func(w io.Writer) error { return g.p.First(w, first) })
		bad := r.FirstPage(people, view.FirstTyped{Name: "Ada Brown", Initials: "AB", Device: "office"}, map[string]string{"code": r.T("door.bad-setup-code"),
			"password": r.T("door.password-common"), "pin": r.T("door.pin-short", "least", "4", "most", "12"), "initials": r.T("door.initials-taken", "found", "AB")})
		g.add("door-first-bad"+k.name, lang, func(w io.Writer) error { return g.p.First(w, bad) })
		in := r.SignInPage("bench 2", people, false)
		in.Back = "/job/2026-014"
		g.add("door-sign-in"+k.name, lang, func(w io.Writer) error { return g.p.SignIn(w, in) })
		full := r.SignInPage("bench 2", long, false)
		full.Faults = map[string]string{"pin": r.T("door.wrong")}
		full.Acts, full.Carry = "/job/2026-014/at/block/bore/5/H2/T", []view.Fact{{Name: "value", Value: "983.30"}}
		full.Tell = []string{r.T("page.door.why.ended")}
		g.add("door-sign-in-full"+k.name, lang, func(w io.Writer) error { return g.p.SignIn(w, full) })
		nobody := r.SignInPage("bench 2", nil, false)
		g.add("door-sign-in-nobody"+k.name, lang, func(w io.Writer) error { return g.p.SignIn(w, nobody) })
		stranger := r.SignInPage("", nil, false)
		stranger.Faults = map[string]string{"": r.T("door.wait", "seconds", "8")}
		stranger.Tell = []string{r.T("page.door.why.revoked")}
		g.add("door-sign-in-stranger"+k.name, lang, func(w io.Writer) error { return g.p.SignIn(w, stranger) })
		lock := r.LockPage("Bo Carter · BC", "bench 2", true)
		lock.Back, lock.Acts, lock.Carry = "/job/2026-014", full.Acts, full.Carry
		g.add("door-lock"+k.name, lang, func(w io.Writer) error { return g.p.Lock(w, lock) })
		office := r.LockPage("Ada Brown · AB", "", false)
		office.Faults = map[string]string{"password": r.T("door.wrong")}
		g.add("door-lock-password"+k.name, lang, func(w io.Writer) error { return g.p.Lock(w, office) })
		enrol := r.EnrolPage("7KQ2-M9XT", map[string]string{"code": r.T("door.bad-code")})
		enrol.Tell = []string{r.T("page.enrol.again", "name", "bench 2")}
		g.add("door-enrol"+k.name, lang, func(w io.Writer) error { return g.p.Enrol(w, enrol) })
		free := r.NoDoor("/lock")
		g.add("door-none"+k.name, lang, func(w io.Writer) error { return g.p.NoDoor(w, free) })
		signed := r
		signed.Person, signed.Signed = "p-2", "BC"
		me := signed.MePage(true, true, map[string]string{"old-pin": r.T("door.wrong")})
		g.add("door-me"+k.name, lang, func(w io.Writer) error { return g.p.Me(w, me) })
		for name, plain := range map[string]bool{"door-trust": false, "door-trust-plain": true} {
			trust, err := r.TrustPage(served, plain)
			if err != nil {
				t.Fatal(err)
			}
			g.add(name+k.name, lang, func(w io.Writer) error { return g.p.Trust(w, trust) })
		}
		offer, err := signed.OfferPage("bench 2", "7KQ2-M9XT", "2026-11-24 09:40", served.Secure)
		if err != nil {
			t.Fatal(err)
		}
		g.add("door-code"+k.name, lang, func(w io.Writer) error { return g.p.EnrolCode(w, offer) })
		here, err := signed.OfferPage("second browser", "7KQ2-M9XT", "2026-11-24 09:40", "")
		if err != nil {
			t.Fatal(err)
		}
		g.add("door-code-here"+k.name, lang, func(w io.Writer) error { return g.p.EnrolCode(w, here) })
		g.devices(t, signed, served, k.name)
	}
}

// signed repeats the forms of entries for somebody who is signed in.
func (g *gallery) signed(en, de view.Reader, c *view.Case) {
	en.Person, en.Signed, de.Person, de.Signed = "p-7a03", "AB", "p-7a03", "AB"
	from := len(g.list)
	opening := en.OpenPage(g.s.lib, []string{"brae-05-1"}, shop.Replay(nil), view.Opening{}, nil)
	g.add("open", "en", func(w io.Writer) error { return g.p.Open(w, opening) })
	g.forms(en, de, c)
	making := g.making("corran-24-5", g.someChanges())
	draft := en.DraftPage(&making, c.Shop, "", nil)
	g.add("draft", "en", func(w io.Writer) error { return g.p.Draft(w, draft) })
	gauge := g.gaugePage(en, c.Shop, g.known(c.Shop, "mic-75-100"), nil, view.GaugeTyped{}, "", nil)
	g.add("gauge", "en", func(w io.Writer) error { return g.p.Gauge(w, gauge) })
	for i := from; i < len(g.list); i++ {
		g.list[i].name += "-signed"
	}
}

func (g *gallery) devices(t testing.TB, r view.Reader, s view.Served, name string) {
	few := view.Devices{Local: true, Idle: "5", Longest: "12",
		Devices: []view.DeviceRow{{ID: "d-1", Name: "office", Enrolled: "2026-11-24 08:00", Seen: "2026-11-24 08:00", This: true}},
		People:  []view.PersonRow{{ID: "p-1", Initials: "AB", Name: "Ada Brown", Owner: true, Pin: true}}}
	many := few
	many.Local, many.Served = false, s
	many.Devices = append([]view.DeviceRow{{ID: "d-2", Name: "bench 2", Enrolled: "2026-11-24 08:10", Seen: "2026-11-24 09:12"},
		{ID: "d-3", Name: "the old tablet beside the cylinder head bench", Enrolled: "2026-03-02 08:10", Seen: "2026-04-01 16:02", Revoked: "2026-04-02 07:30"}}, few.Devices...)
	many.People = append([]view.PersonRow{{ID: "p-2", Initials: "BC", Name: "Bo Carter", Pin: true}, {ID: "p-3", Initials: "MCHO", Name: "Maximiliane-Charlotte von Hohenbrunn-Oberschleißheim", Outside: true},
		{ID: "p-4", Initials: "DE", Name: "Di Evans", Pin: true, Disabled: true}}, few.People...)
	for _, k := range []string{"owner-set-up", "signed-in", "sign-in-failed", "signed-out", "locked", "device-enrolled", "device-revoked", "person-disabled",
		"person-enabled", "secret-set", "door-limits"} {
		many.Events = append(many.Events, view.EventRow{When: "2026-11-24 09:12", What: r.T("page.door.event." + k), Who: "BC", Device: "bench 2", Address: "192.168.7.20"})
	}
	faults := map[string]string{"pin-p-3": r.T("door.pin-common"), "idle": r.T("door.bad-idle", "most", "60"), "device": r.T("door.no-device-name", "most", "40")}
	for n, v := range map[string]view.Devices{"door-devices-local": few, "door-devices": many} {
		p, err := r.DevicesPage(v, map[bool]map[string]string{true: faults}[!v.Local])
		if err != nil {
			t.Fatal(err)
		}
		g.add(n+name, r.Lang, func(w io.Writer) error { return g.p.Devices(w, p) })
	}
}
