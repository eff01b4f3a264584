package web

import (
	"context"
	"encoding/base64"
	"io"
	"net/http"
	"net/url"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/show/view"
)

// gauges is the register of the shop's gauges and masters.
func (s *site) gauges(r *http.Request, rd view.Reader) (answer, error) {
	list, err := s.Bench.Gauges(r.Context())
	if err != nil {
		return answer{}, err
	}
	known := make([]view.Known, len(list))
	for i := range list {
		known[i] = knownGauge(&list[i], nil)
	}
	v := rd.Gauges(known)
	return answer{write: func(w io.Writer) error { return s.pages.Gauges(w, v) }}, nil
}

// knownGauge is a gauge as the views speak of it; with the shop's state also its
// history.
func knownGauge(g *bench.Gauge, sh *shop.State) view.Known {
	k := view.Known{GaugeV1: g.GaugeV1, Kind: g.Kind, Calibration: g.Calibration, Overdue: g.Overdue, Sessions: g.Sessions, Twice: g.Twice}
	if sh == nil {
		return k
	}
	if own := sh.Gauges[g.Gauge]; own != nil {
		k.Calibrations = own.Calibrations
	}
	for _, c := range sh.Checks {
		if c.Gauge == g.Gauge {
			k.Checks = append(k.Checks, c)
		}
	}
	return k
}

// gauge is the page of one gauge. It changes with every job, so nobody keeps it.
func (s *site) gauge(r *http.Request, rd view.Reader) (answer, error) {
	v, err := s.gaugeView(r, rd, view.GaugeTyped{Person: known(r, "person")}, "", nil)
	if err != nil {
		return answer{}, err
	}
	switch r.URL.Query().Get("stored") {
	case "yes":
		v.Notice = rd.T("page.gauge.stored")
	case "again":
		v.Notice = rd.T("page.gauge.stored.again")
	}
	return answer{write: func(w io.Writer) error { return s.pages.Gauge(w, v) }}, nil
}

func (s *site) gaugeView(r *http.Request, rd view.Reader, t view.GaugeTyped, which string, faults map[string][]string) (view.Gauge, error) {
	ctx, id := r.Context(), r.PathValue("gauge")
	g, err := s.Bench.Gauge(ctx, id)
	if err != nil {
		return view.Gauge{}, err
	}
	sh, err := s.Bench.Shop(ctx)
	if err != nil {
		return view.Gauge{}, err
	}
	list, err := s.Bench.LeanedOn(ctx, id, 0, 0)
	if err != nil {
		return view.Gauge{}, err
	}
	leans, err := s.leanings(ctx, list)
	if err != nil {
		return view.Gauge{}, err
	}
	key, err := s.newKey()
	if err != nil {
		return view.Gauge{}, err
	}
	k, lib := knownGauge(&g, sh), s.Bench.Library()
	return rd.GaugePage(lib, sh, k, leans, rd.GaugeFormFor(lib, sh, k, key, t, which, faults)), nil
}

func (s *site) caseNamed(ctx context.Context, id string) (*view.Case, error) {
	j, err := s.Bench.Judge(ctx, id)
	if err != nil {
		return nil, err
	}
	return s.caseOf(id, j), nil
}

// gaugeRefused shows the page again with what was typed and what is wrong.
func (s *site) gaugeRefused(r *http.Request, rd view.Reader, t view.GaugeTyped, which string, err error) (answer, error) {
	faults, err := s.fields(rd, err)
	if err != nil {
		return answer{}, err
	}
	v, err := s.gaugeView(r, rd, t, which, faults)
	if err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusUnprocessableEntity, write: func(w io.Writer) error { return s.pages.Gauge(w, v) }}, nil
}

// seeGauge goes back to the page of a gauge after something was stored.
func seeGauge(id, person string, again bool) answer {
	q := url.Values{"stored": {"yes"}}
	if again {
		q.Set("stored", "again")
	}
	return answer{see: view.GaugeHref(id) + "?" + q.Encode(), cookie: []*http.Cookie{{Name: "last-person", Value: person, Path: "/gauge/", MaxAge: 12 * 3600,
		HttpOnly: true, SameSite: http.SameSiteLaxMode}}}
}

func markOf(s string) byte {
	if s == "" {
		return '.'
	}
	return s[0]
}

// check stores one person's reading of a master.
func (s *site) check(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	t := view.GaugeTyped{Master: f.Get("master"), True: f.Get("true"), Read: f.Get("read"), Unit: f.Get("unit"), Person: f.Get("person")}
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return answer{}, err
	}
	id := r.PathValue("gauge")
	d, err := s.Bench.RecordCheck(r.Context(), bench.Check{Gauge: id, Master: t.Master, True: t.True, Read: t.Read, Unit: t.Unit,
		Mark: markOf(f.Get("mark")), Person: t.Person, Device: deviceOf(r.Context(), device), Key: key})
	if err != nil {
		return s.gaugeRefused(r, rd, t, "check", err)
	}
	return seeGauge(id, t.Person, d.Again), nil
}

// calibration shows what a typed calibration would change; with a confirmation
// it stores it.
func (s *site) calibration(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseMultipartForm(mostForm); err != nil && err != http.ErrNotMultipart {
		return answer{}, asInvalid(err)
	}
	f := r.PostForm
	t := view.GaugeTyped{Date: f.Get("date"), Due: f.Get("due"), Bias: f.Get("bias"), BiasUnit: f.Get("unit"), Expanded: f.Get("expanded"),
		Coverage: f.Get("coverage"), Certificate: f.Get("certificate"), Person: f.Get("person")}
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return answer{}, err
	}
	id := r.PathValue("gauge")
	in := bench.Calibration{Gauge: id, Date: t.Date, Due: t.Due, Bias: t.Bias, Unit: t.BiasUnit, Expanded: t.Expanded, Coverage: t.Coverage,
		Certificate: t.Certificate, Mark: markOf(f.Get("mark")), Person: t.Person, Device: deviceOf(r.Context(), device), Key: key}
	if f.Get("confirm") == "yes" {
		d, err := s.Bench.RecordCalibration(r.Context(), in)
		if err != nil {
			return s.gaugeRefused(r, rd, t, "calibration", err)
		}
		return seeGauge(id, t.Person, d.Again), nil
	}
	d, err := s.Bench.OfferTyped(r.Context(), in)
	if err != nil {
		return s.gaugeRefused(r, rd, t, "calibration", err)
	}
	o := rd.Offered(&d.Calibration, nil, "", nil, nil)
	for _, n := range []string{"date", "due", "bias", "unit", "expanded", "coverage", "certificate", "mark", "person"} {
		o.Carry = append(o.Carry, view.Fact{Name: n, Value: f.Get(n)})
	}
	return s.offered(r, rd, t, o, d.Reopened, "calibration")
}

// offered is the page on which a calibration is confirmed.
func (s *site) offered(r *http.Request, rd view.Reader, t view.GaugeTyped, o view.OfferView, reopened []bench.Reopened, which string) (answer, error) {
	for _, x := range reopened {
		c, err := s.caseNamed(r.Context(), x.Job)
		if err != nil {
			return answer{}, err
		}
		o.Reopened = append(o.Reopened, rd.Reopened(c, x.Changes, x.Moved))
	}
	o.Nothing = len(o.Reopened) == 0
	o.Post = view.GaugeHref(r.PathValue("gauge"), which)
	v, err := s.gaugeView(r, rd, t, which, nil)
	if err != nil {
		return answer{}, err
	}
	v.Offer = &o
	if f := r.PostForm.Get("key"); f != "" {
		v.Form.Key = f // one key from the form to its confirmation
	}
	return answer{write: func(w io.Writer) error { return s.pages.Gauge(w, v) }}, nil
}

// certificate shows what a digital certificate holds and would change; with a
// confirmation it stores the file byte for byte and the entry that names it.
// The preview carries the file, so nothing is kept here between the two.
func (s *site) certificate(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseMultipartForm(mostForm); err != nil {
		return answer{}, asInvalid(err)
	}
	f := r.PostForm
	t := view.GaugeTyped{Due: f.Get("due"), Result: f.Get("result"), Person: f.Get("person")}
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return answer{}, err
	}
	id := r.PathValue("gauge")
	name, file, err := certificateOf(r)
	if err != nil {
		return answer{}, err
	}
	result, _ := strconv.Atoi(t.Result) // anything else asks for the only one that fits
	in := bench.Certificate{Gauge: id, Name: name, File: file, Result: result, Due: t.Due, Person: t.Person, Device: deviceOf(r.Context(), device), Key: key}
	if f.Get("confirm") == "yes" {
		d, err := s.Bench.Calibrate(r.Context(), in)
		if err != nil {
			return s.gaugeRefused(r, rd, t, "certificate", err)
		}
		return seeGauge(id, t.Person, d.Again), nil
	}
	d, err := s.Bench.OfferCalibration(r.Context(), in)
	if err != nil {
		return s.gaugeRefused(r, rd, t, "certificate", err)
	}
	who := []view.Fact{{Name: rd.T("page.gauge.version"), Value: d.Certificate.Schema}}
	if d.Certificate.Lab != "" {
		who = append(who, view.Fact{Name: rd.T("page.gauge.lab"), Value: d.Certificate.Lab})
	}
	for _, i := range d.Certificate.Items {
		who = append(who, view.Fact{Name: rd.T("page.gauge.item"), Value: i.Manufacturer + " " + i.Model + " · " + i.Serial})
	}
	var said []string
	for i := range d.Remarks {
		said = append(said, rd.Book.Say(d.Remarks[i].Key, d.Remarks[i].Pairs()...))
	}
	c := &d.Calibration
	o := rd.Offered(&c.CalibratedV1, c.Points, c.AtUnit, who, said)
	o.File = base64.StdEncoding.EncodeToString(file)
	o.Carry = []view.Fact{{Name: "due", Value: t.Due}, {Name: "result", Value: strconv.Itoa(d.Result)}, {Name: "person", Value: t.Person}, {Name: "name", Value: name}}
	return s.offered(r, rd, t, o, d.Reopened, "certificate")
}

// certificateOf is the file of a form, or the one that its preview carried.
func certificateOf(r *http.Request) (name string, file []byte, err error) {
	if k := r.FormValue("kept"); k != "" {
		if file, err = base64.StdEncoding.DecodeString(k); err != nil {
			return "", nil, fault.New(fault.Invalid, "bench.bad-form", "error", err.Error())
		}
		return clip(r.FormValue("name")), file, nil
	}
	f, h, err := r.FormFile("file")
	if err != nil {
		return "certificate.xml", nil, nil // an empty file says so itself
	}
	defer f.Close()
	file, err = io.ReadAll(f)
	return clip(h.Filename), file, err
}
