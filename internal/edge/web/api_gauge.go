package web

import (
	"context"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"fettle/internal/base/unit"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/certificate"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/gauge"
)

// apiGauges puts the gauge register beside the jobs.
func (s *site) apiGauges(api huma.API) {
	bad := []int{http.StatusNotFound, http.StatusConflict, http.StatusUnprocessableEntity}
	huma.Register(api, huma.Operation{OperationID: "gauges", Method: http.MethodGet, Path: "/api/v1/gauges",
		Summary: "All gauges and masters"}, s.apiGaugeList)
	huma.Register(api, huma.Operation{OperationID: "gauge", Method: http.MethodGet, Path: "/api/v1/gauges/{gauge}",
		Summary: "One gauge: calibration in force and the last session", Errors: bad[:1]}, s.apiGauge)
	huma.Register(api, huma.Operation{OperationID: "record-check", Method: http.MethodPost, Path: "/api/v1/gauges/{gauge}/checks",
		Summary: "Record one person's reading of a master", DefaultStatus: http.StatusCreated, MaxBodyBytes: 64 << 10, Errors: bad}, s.apiCheck)
	huma.Register(api, huma.Operation{OperationID: "certificate", Method: http.MethodPost, Path: "/api/v1/gauges/{gauge}/certificates",
		Summary:      "Read a digital calibration certificate, and keep it if asked to",
		Description:  "The body is the XML file as it came. Without store=true nothing is kept; the answer says what it holds and which verdicts it would change.",
		MaxBodyBytes: bench.MostCertificate + 1, Errors: append(bad, http.StatusRequestEntityTooLarge)}, s.apiCertificate)
	huma.Register(api, huma.Operation{OperationID: "leaned", Method: http.MethodGet, Path: "/api/v1/gauges/{gauge}/leaned",
		Summary: "Every verdict that leaned on a gauge", Errors: bad[:1]}, s.apiLeaned)
	huma.Register(api, huma.Operation{OperationID: "file", Method: http.MethodGet, Path: "/api/v1/files/{digest}",
		Summary: "A kept file, byte for byte", Errors: bad[:1]}, s.apiFile)
}

// apiPoint is one point of a bias curve.
type apiPoint struct {
	At       string `json:"at"`
	Bias     string `json:"bias"`
	Expanded string `json:"expanded"`
}

// apiCalibration is a calibration; bias and expanded hold for the whole range.
type apiCalibration struct {
	Date        string     `json:"date" example:"2026-02-03"`
	Due         string     `json:"due,omitempty"`
	Bias        string     `json:"bias" doc:"what is taken off a reading"`
	Expanded    string     `json:"expanded"`
	Unit        string     `json:"unit"`
	Coverage    string     `json:"coverage_factor"`
	Certificate string     `json:"certificate,omitempty"`
	AtUnit      string     `json:"at_unit,omitempty"`
	Points      []apiPoint `json:"points,omitempty"`
	File        string     `json:"file,omitempty" doc:"SHA-256 of the certificate's file"`
}

func calibration(c *shop.CalibratedV1, points []apiPoint, atUnit, file string) *apiCalibration {
	out := &apiCalibration{Date: day(c.Date), Bias: c.Bias, Expanded: c.Expanded, Unit: c.Unit, Coverage: c.Coverage,
		Certificate: c.Certificate, AtUnit: atUnit, Points: points, File: file}
	if c.Due != 0 {
		out.Due = day(c.Due)
	}
	return out
}

func day(t int64) string { return time.UnixMicro(t).UTC().Format("2006-01-02") }

// apiHand is a gauge in one person's hands on the day.
type apiHand struct {
	Person string `json:"person"`
	Checks int    `json:"checks"`
	Bias   string `json:"bias" doc:"shows too much by this"`
	SU     string `json:"bias_u" doc:"standard uncertainty, from repeat alone"`
	Days   int    `json:"earlier_days"`
	Shift  string `json:"shift,omitempty" doc:"bias less that of the earlier days"`
	Off    string `json:"off,omitempty" doc:"bias less what the calibration takes off"`
}

// apiSession is what the checks of a gauge say.
type apiSession struct {
	Master     string    `json:"master"`
	Day        string    `json:"day"`
	Checks     int       `json:"checks"`
	Method     string    `json:"method" enum:"variances,days,type"`
	Why        string    `json:"why,omitempty" doc:"why no better method"`
	Unit       string    `json:"unit"`
	Repeat     string    `json:"repeat" doc:"standard deviation of one person on one day"`
	Dof        int       `json:"repeat_dof" doc:"0: from the type of the gauge"`
	Persons    string    `json:"persons,omitempty"`
	Days       string    `json:"days,omitempty"`
	Reproduced string    `json:"reproduced,omitempty"`
	ByRange    *apiRange `json:"by_average_and_range,omitempty"`
	Hands      []apiHand `json:"hands"`
	Alerts     []string  `json:"alerts"`
}

type apiRange struct {
	Repeat     string `json:"repeat"`
	Persons    string `json:"persons"`
	Days       string `json:"days"`
	Reproduced string `json:"reproduced"`
}

func (s *site) session(g *gauge.Session) apiSession {
	u, book := gauge.SmallUnit(g.Unit), s.english().Book
	text := func(x float64) string { return unit.Format(x, u, 2) }
	out := apiSession{Master: g.Master, Day: time.Unix(g.Day*86400, 0).UTC().Format("2006-01-02"), Checks: g.Checks, Method: g.Method, Unit: u,
		Repeat: text(g.Repeat), Dof: g.Dof, Hands: []apiHand{}, Alerts: []string{}}
	if g.Why != "" {
		out.Why = book.Say(g.Why)
	}
	if g.Method != gauge.ByType {
		out.Persons, out.Days, out.Reproduced = text(g.Persons), text(g.Days), text(g.Reproduced)
	}
	if r := g.ByRange; r != nil {
		out.ByRange = &apiRange{text(r.Repeat), text(r.Persons), text(r.Days), text(r.Reproduced)}
	}
	for _, h := range g.Hands {
		a := apiHand{Person: h.Person, Checks: h.Checks, Bias: text(h.Bias), SU: text(h.SU), Days: h.Days}
		if h.Days > 0 {
			a.Shift = text(h.Shift)
		}
		if h.Known {
			a.Off = text(h.Off)
		}
		out.Hands = append(out.Hands, a)
	}
	for _, a := range g.Alerts {
		say := g.Say(a)
		out.Alerts = append(out.Alerts, book.Say(say.Key, "person", say.Args["person"], "value", say.Args["value"], "doubt", say.Args["doubt"]))
	}
	return out
}

type apiGaugeBody struct {
	Gauge       string          `json:"gauge"`
	Type        string          `json:"type"`
	Quantity    string          `json:"quantity"`
	Serial      string          `json:"serial,omitempty"`
	Master      string          `json:"master,omitempty"`
	Note        string          `json:"note,omitempty"`
	Calibration *apiCalibration `json:"calibration,omitempty"`
	Overdue     bool            `json:"overdue"`
	Sessions    []apiSession    `json:"sessions" doc:"the last day of each master it was checked on"`
}

func (s *site) gaugeBody(g *bench.Gauge) apiGaugeBody {
	out := apiGaugeBody{Gauge: g.Gauge, Type: g.Type, Quantity: g.Kind.Quantity, Serial: g.Serial, Master: g.Master, Note: g.Note,
		Overdue: g.Overdue, Sessions: []apiSession{}}
	if c := g.Calibration; c != nil {
		var points []apiPoint
		atUnit := ""
		for _, p := range c.Points {
			points = append(points, apiPoint{p.At.Text, p.Bias.Text, p.Expanded.Text})
			atUnit = p.At.Unit
		}
		out.Calibration = calibration(&c.CalibratedV1, points, atUnit, c.File)
	}
	for i := range g.Sessions {
		out.Sessions = append(out.Sessions, s.session(&g.Sessions[i]))
	}
	return out
}

type apiGaugeListOut struct {
	Body struct {
		Gauges []apiGaugeBody `json:"gauges"`
	}
}

func (s *site) apiGaugeList(ctx context.Context, _ *struct{}) (*apiGaugeListOut, error) {
	list, err := s.Bench.Gauges(ctx)
	if err != nil {
		return nil, s.apiFault(err)
	}
	out := &apiGaugeListOut{}
	out.Body.Gauges = []apiGaugeBody{}
	for i := range list {
		out.Body.Gauges = append(out.Body.Gauges, s.gaugeBody(&list[i]))
	}
	return out, nil
}

type apiGaugeIn struct {
	Gauge string `path:"gauge" maxLength:"64"`
}

type apiGaugeOut struct{ Body apiGaugeBody }

func (s *site) apiGauge(ctx context.Context, in *apiGaugeIn) (*apiGaugeOut, error) {
	g, err := s.Bench.Gauge(ctx, in.Gauge)
	if err != nil {
		return nil, s.apiFault(err)
	}
	return &apiGaugeOut{s.gaugeBody(&g)}, nil
}

type apiCheckIn struct {
	Gauge string `path:"gauge" maxLength:"64"`
	Key   string `header:"Idempotency-Key" required:"true" minLength:"1" maxLength:"128" doc:"made when the master is read, not when it is sent"`
	Body  struct {
		Master string `json:"master,omitempty" maxLength:"64" doc:"left out, the gauge's usual one"`
		True   string `json:"true" maxLength:"40" example:"75.000" doc:"size of the master"`
		Read   string `json:"read" maxLength:"40" example:"75.002"`
		Unit   string `json:"unit" maxLength:"12" example:"mm"`
		Person string `json:"person,omitempty" maxLength:"64"`
		Device string `json:"device,omitempty" maxLength:"64"`
		Time   int64  `json:"time,omitempty" minimum:"0" doc:"writer's clock, µs since 1970 UTC; left out, the server's is taken"`
	}
}

type apiCheckOut struct {
	Body struct {
		apiReceipt
		Session *apiSession `json:"session,omitempty"`
	}
}

func (s *site) apiCheck(ctx context.Context, in *apiCheckIn) (*apiCheckOut, error) {
	b := &in.Body
	person, device, err := s.caller(ctx, b.Person, b.Device)
	if err != nil {
		return nil, err
	}
	d, err := s.Bench.RecordCheck(ctx, bench.Check{Gauge: in.Gauge, Master: b.Master, True: b.True, Read: b.Read, Unit: b.Unit, Mark: '.',
		Person: person, Device: deviceOf(ctx, device), Key: keyOf("shop/"+in.Gauge, in.Key), Time: b.Time})
	if err != nil {
		return nil, s.apiFault(err)
	}
	out := &apiCheckOut{}
	out.Body.apiReceipt = receipt(d.Receipt, d.Again)
	if d.Session != nil {
		a := s.session(d.Session)
		out.Body.Session = &a
	}
	return out, nil
}

type apiCertificateIn struct {
	Gauge  string `path:"gauge" maxLength:"64"`
	Store  bool   `query:"store" doc:"keep the file and let the calibration hold"`
	Result int    `query:"result" minimum:"0" doc:"which result of several, from 1"`
	Due    string `query:"due" maxLength:"10" example:"2027-02-03" doc:"day of the next calibration"`
	Name   string `query:"name" maxLength:"200" doc:"of the file, for messages"`
	Person string `query:"person" maxLength:"64"`

	RawBody []byte `contentType:"application/xml"`
}

// apiReopened is a job in which verdicts change.
type apiReopened struct {
	Job     string      `json:"job"`
	Title   string      `json:"title"`
	Moved   int         `json:"moved" doc:"values that move and keep their verdict"`
	Changes []apiChange `json:"changes"`
}

type apiChange struct {
	Position string `json:"position"`
	State    string `json:"state"`
	Before   string `json:"before"`
	After    string `json:"after"`
}

type apiCertificateOut struct {
	Status int
	Body   struct {
		Stored       bool            `json:"stored"`
		Again        bool            `json:"again"`
		Sequence     int64           `json:"sequence,omitempty"`
		Head         string          `json:"head,omitempty"`
		Schema       string          `json:"schema_version"`
		Certificate  string          `json:"certificate"`
		Laboratory   string          `json:"laboratory,omitempty"`
		Manufacturer string          `json:"manufacturer,omitempty"`
		Model        string          `json:"model,omitempty"`
		Serial       string          `json:"serial,omitempty"`
		Signed       bool            `json:"signed" doc:"a signature is there; it is not checked"`
		Result       int             `json:"result"`
		Remarks      []string        `json:"remarks"`
		Calibration  *apiCalibration `json:"calibration"`
		Reopened     []apiReopened   `json:"reopened,omitempty" doc:"what it would change; not told once it is stored"`
	}
}

func (s *site) apiCertificate(ctx context.Context, in *apiCertificateIn) (*apiCertificateOut, error) {
	name := in.Name
	if name == "" {
		name = "certificate.xml"
	}
	person, err := s.person(ctx, in.Person)
	if err != nil {
		return nil, s.apiFault(err)
	}
	c := bench.Certificate{Gauge: in.Gauge, Name: name, File: in.RawBody, Result: in.Result, Due: in.Due, Person: person, Device: deviceOf(ctx, "api")}
	var d bench.Calibrated
	if in.Store {
		d, err = s.Bench.Calibrate(ctx, c)
	} else {
		d.Offer, err = s.Bench.OfferCalibration(ctx, c)
	}
	if err != nil {
		return nil, s.apiFault(err)
	}
	out := &apiCertificateOut{Status: http.StatusOK}
	if in.Store {
		out.Status = http.StatusCreated
	}
	o := &out.Body
	o.Stored, o.Again, o.Sequence, o.Head, o.Result = in.Store, d.Again, d.Seq, d.Head, d.Result
	o.Schema, o.Certificate, o.Laboratory, o.Signed = d.Certificate.Schema, d.Certificate.ID, d.Certificate.Lab, d.Certificate.Signed
	if i := d.Certificate.Items; len(i) > 0 {
		o.Manufacturer, o.Model, o.Serial = i[0].Manufacturer, i[0].Model, i[0].Serial
	}
	o.Remarks = s.remarks(d.Remarks)
	var points []apiPoint
	for _, p := range d.Calibration.Points {
		points = append(points, apiPoint(p))
	}
	o.Calibration = calibration(&d.Calibration.CalibratedV1, points, d.Calibration.AtUnit, d.Calibration.File)
	for _, r := range d.Reopened {
		a := apiReopened{Job: r.Job, Title: r.Title, Moved: r.Moved, Changes: []apiChange{}}
		for _, c := range r.Changes {
			a.Changes = append(a.Changes, apiChange{c.Position, c.State, string(c.Before), string(c.After)})
		}
		o.Reopened = append(o.Reopened, a)
	}
	return out, nil
}

// remarks are the sentences of what a certificate's reader should know.
func (s *site) remarks(list []certificate.Remark) []string {
	out := []string{}
	for _, r := range list {
		out = append(out, s.english().Book.Say(r.Key, r.Pairs()...))
	}
	return out
}

type apiLeanedIn struct {
	Gauge string `path:"gauge" maxLength:"64"`
	From  int64  `query:"from" doc:"µs since 1970 UTC; left out, from the first reading on"`
	To    int64  `query:"to" doc:"µs since 1970 UTC; left out, to the last reading"`
}

type apiLean struct {
	Position string `json:"position"`
	State    string `json:"state"`
	Verdict  string `json:"verdict"`
	Part     string `json:"part" doc:"of the variance, percent"`
}

type apiLeanedOut struct {
	Body struct {
		Jobs []apiLeanedJob `json:"jobs"`
	}
}

type apiLeanedJob struct {
	Job      string    `json:"job"`
	Title    string    `json:"title"`
	Verdicts []apiLean `json:"verdicts"`
}

func (s *site) apiLeaned(ctx context.Context, in *apiLeanedIn) (*apiLeanedOut, error) {
	list, err := s.Bench.LeanedOn(ctx, in.Gauge, in.From, in.To)
	if err != nil {
		return nil, s.apiFault(err)
	}
	out := &apiLeanedOut{}
	out.Body.Jobs = []apiLeanedJob{}
	for _, j := range list {
		a := apiLeanedJob{Job: j.Job, Title: j.Title, Verdicts: []apiLean{}}
		for _, l := range j.Leans {
			a.Verdicts = append(a.Verdicts, apiLean{l.Position, l.State, string(l.Verdict), unit.Format(l.Part, "%", 1)})
		}
		out.Body.Jobs = append(out.Body.Jobs, a)
	}
	return out, nil
}

type apiFileIn struct {
	Digest string `path:"digest" minLength:"64" maxLength:"64"`
}

type apiFileOut struct {
	Type        string `header:"Content-Type"`
	Disposition string `header:"Content-Disposition"`
	Body        []byte
}

// apiFile hands a kept file out as bytes to be saved, never as a page.
func (s *site) apiFile(_ context.Context, in *apiFileIn) (*apiFileOut, error) {
	b, err := s.Bench.KeptFile(in.Digest)
	if err != nil {
		return nil, s.apiFault(err)
	}
	return &apiFileOut{"application/octet-stream", `attachment; filename="` + in.Digest[:12] + `.xml"`, b}, nil
}
