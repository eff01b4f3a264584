package web

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"net/http"
	"sort"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/judge/assess"
	"fettle/internal/show/view"
)

// api puts /api/v1 beside the pages. It goes through the same bench; its
// description is generated from the types below and served at
// /api/openapi.json. There is no viewer: that would be loaded from elsewhere.
func (s *site) api(mux *http.ServeMux) {
	c := huma.DefaultConfig("fettle", "1")
	c.OpenAPIPath, c.DocsPath, c.SchemasPath = "/api/openapi", "", "/api/schemas"
	c.CreateHooks = nil // no $schema link with the caller's Host in every answer
	c.Info.Description = "Readings in, judgement out. Values are decimal texts with a point, each with its unit; a write carries an Idempotency-Key."
	api := humago.New(mux, c)
	huma.Register(api, huma.Operation{OperationID: "jobs", Method: http.MethodGet, Path: "/api/v1/jobs", Summary: "All jobs"}, s.apiJobs)
	huma.Register(api, huma.Operation{OperationID: "job", Method: http.MethodGet, Path: "/api/v1/jobs/{job}", Summary: "One job"}, s.apiJob)
	huma.Register(api, huma.Operation{OperationID: "assessment", Method: http.MethodGet, Path: "/api/v1/jobs/{job}/assessment",
		Summary: "All that follows from a job's readings"}, s.apiAssessment)
	huma.Register(api, huma.Operation{OperationID: "record-reading", Method: http.MethodPost, Path: "/api/v1/jobs/{job}/readings",
		Summary: "Record one reading", DefaultStatus: http.StatusCreated, MaxBodyBytes: 64 << 10,
		Errors: []int{http.StatusNotFound, http.StatusConflict, http.StatusUnprocessableEntity}}, s.apiReading)
	huma.Register(api, huma.Operation{OperationID: "observe", Method: http.MethodPost, Path: "/api/v1/jobs/{job}/observations",
		Summary: "Record what was seen on a part", DefaultStatus: http.StatusCreated, MaxBodyBytes: 64 << 10,
		Errors: []int{http.StatusNotFound, http.StatusConflict, http.StatusUnprocessableEntity}}, s.apiObservation)
	huma.Register(api, huma.Operation{OperationID: "add-photo", Method: http.MethodPost, Path: "/api/v1/jobs/{job}/photos",
		Summary: "Keep a photo of a position, a part or a finding", Description: "The body is the file as it came: JPEG, PNG or WebP.",
		DefaultStatus: http.StatusCreated, MaxBodyBytes: bench.MostPhoto + 1,
		Errors: []int{http.StatusNotFound, http.StatusConflict, http.StatusRequestEntityTooLarge, http.StatusUnprocessableEntity}}, s.apiPhoto)
	huma.Register(api, huma.Operation{OperationID: "causes", Method: http.MethodGet, Path: "/api/v1/jobs/{job}/causes",
		Summary: "What may have caused what was found: a ranking, never a verdict", Errors: []int{http.StatusNotFound}}, s.apiCauses)
	s.apiGauges(api)
	s.apiComputes(api)
}

// apiTally is how many values have which verdict.
type apiTally struct {
	Accept     int `json:"accept"`
	Reject     int `json:"reject"`
	Undecided  int `json:"undecided"`
	Unmeasured int `json:"unmeasured"`
	Readings   int `json:"readings"`
}

// apiSummary is one job in brief.
type apiSummary struct {
	Job       string   `json:"job"`
	Title     string   `json:"title"`
	Family    string   `json:"family"`
	Invented  bool     `json:"invented"`
	Tally     apiTally `json:"tally"`
	Findings  int      `json:"findings"`
	Questions int      `json:"open_questions"`
	Problem   string   `json:"problem,omitempty" doc:"why the job cannot be judged"`
}

type apiJobsOut struct {
	Body struct {
		Jobs []apiSummary `json:"jobs"`
	}
}

func brief(rd view.Reader, j bench.Summary) apiSummary {
	t := j.Tally
	out := apiSummary{Job: j.Job, Title: j.Title, Family: j.Family, Invented: j.Invented, Findings: j.Findings, Questions: j.Open,
		Tally: apiTally{t.Accept, t.Reject, t.Undecided, t.Unmeasured, t.Readings}}
	if j.Problem != nil {
		out.Problem = rd.Book.Fault(j.Problem)
	}
	return out
}

func (s *site) apiJobs(ctx context.Context, _ *struct{}) (*apiJobsOut, error) {
	jobs, err := s.Bench.Jobs(ctx)
	if err != nil {
		return nil, s.apiFault(err)
	}
	out := &apiJobsOut{}
	out.Body.Jobs = []apiSummary{}
	for _, j := range jobs {
		out.Body.Jobs = append(out.Body.Jobs, brief(s.english(), j))
	}
	return out, nil
}

// english is how a program reads: English sentences, a point as mark.
func (s *site) english() view.Reader {
	return view.Reader{Lang: "en", Mark: '.', Zone: s.Zone, Book: s.Bench.Library().Book("en")}
}

type apiJobIn struct {
	Job string `path:"job" maxLength:"64"`
}

type apiJobOut struct {
	ETag string `header:"ETag"`
	Body struct {
		apiSummary
		Digest   string `json:"family_digest"`
		Head     string `json:"head" doc:"hash of the job's last entry"`
		Sequence int64  `json:"sequence"`
		ShopHead string `json:"shop_head"`
	}
}

func (s *site) apiJob(ctx context.Context, in *apiJobIn) (*apiJobOut, error) {
	j, err := s.Bench.Judge(ctx, in.Job)
	if err != nil {
		return nil, s.apiFault(err)
	}
	out := &apiJobOut{ETag: `"` + j.Mark() + `"`}
	out.Body.apiSummary = brief(s.english(), j.Summary())
	out.Body.Digest, out.Body.Head, out.Body.Sequence, out.Body.ShopHead = j.Assessment.Digest, j.Job.Head.String(), j.Job.Seq, j.Shop.Head.String()
	return out, nil
}

type apiAssessmentOut struct {
	ETag string `header:"ETag"`
	Head string `header:"Fettle-Head" doc:"hash of the job's last entry that it knows of"`
	Body *assess.Assessment
}

func (s *site) apiAssessment(ctx context.Context, in *apiJobIn) (*apiAssessmentOut, error) {
	j, err := s.Bench.Judge(ctx, in.Job)
	if err != nil {
		return nil, s.apiFault(err)
	}
	return &apiAssessmentOut{ETag: `"` + j.Mark() + `"`, Head: j.Job.Head.String(), Body: j.Assessment}, nil
}

type apiReadingIn struct {
	Job  string `path:"job" maxLength:"64"`
	Key  string `header:"Idempotency-Key" required:"true" minLength:"1" maxLength:"128" doc:"made when the reading is taken, not when it is sent; the same key with the same content gives the first receipt again"`
	Body struct {
		Position    string   `json:"position" example:"block/bore/4/H2/T" maxLength:"200"`
		State       string   `json:"state,omitempty" default:"found" example:"after(hone)" maxLength:"80"`
		Value       string   `json:"value" example:"83.012" maxLength:"40" doc:"a decimal text with a point, trailing zeros kept; pass or fail for a check"`
		Unit        string   `json:"unit" example:"mm" maxLength:"12" doc:"empty for a check"`
		Gauge       string   `json:"gauge,omitempty" maxLength:"64"`
		Master      string   `json:"master,omitempty" maxLength:"64"`
		PartTemp    string   `json:"part_temp,omitempty" example:"20.5" maxLength:"12" doc:"°C"`
		GaugeTemp   string   `json:"gauge_temp,omitempty" maxLength:"12" doc:"°C"`
		Condition   []string `json:"condition,omitempty" maxItems:"20"`
		Person      string   `json:"person,omitempty" maxLength:"64"`
		Device      string   `json:"device,omitempty" maxLength:"64"`
		Note        string   `json:"note,omitempty"`
		Transcribed bool     `json:"transcribed,omitempty" doc:"typed later from paper"`
		Time        int64    `json:"time,omitempty" minimum:"0" doc:"writer's clock, µs since 1970 UTC; left out, the server's is taken"`
	}
}

// apiReceipt says where a write stands in its log.
type apiReceipt struct {
	Stream   string `json:"stream"`
	Sequence int64  `json:"sequence"`
	Head     string `json:"head" doc:"hash of this entry"`
	Again    bool   `json:"again" doc:"this was stored before under this key; here is its first receipt"`
}

func receipt(r entry.Receipt, again bool) apiReceipt {
	return apiReceipt{Stream: r.Stream, Sequence: r.Seq, Head: r.Head, Again: again}
}

// caller is who writes through the API, a program by its own word or who is
// signed in, and the device that it names; one that names none is the API. The
// error is made for the caller.
func (s *site) caller(ctx context.Context, person, device string) (who, named string, err error) {
	if device == "" {
		device = "api"
	}
	if who, err = s.person(ctx, person); err != nil {
		return "", "", s.apiFault(err)
	}
	return who, device, nil
}

type apiReadingOut struct {
	Body struct {
		apiReceipt
		Position string `json:"position"`
		State    string `json:"state"`
		Typed    string `json:"typed"`
		Verdict  string `json:"verdict,omitempty"`
		Value    string `json:"value,omitempty" doc:"of the position, as judged now"`
		Unit     string `json:"unit,omitempty"`
		Before   string `json:"verdict_before,omitempty"`
	}
}

// keyOf makes an entry key of a caller's own: bound to the job, so that two
// jobs may use the same.
func keyOf(job, key string) entry.Key {
	sum := sha256.Sum256([]byte("api/v1\x00" + job + "\x00" + key))
	return entry.Key(sum[:16])
}

func (s *site) apiReading(ctx context.Context, in *apiReadingIn) (*apiReadingOut, error) {
	b := &in.Body
	person, device, err := s.caller(ctx, b.Person, b.Device)
	if err != nil {
		return nil, err
	}
	d, err := s.Bench.RecordReading(ctx, bench.Reading{Job: in.Job, Position: b.Position, State: b.State, Value: b.Value, Unit: b.Unit, Mark: '.',
		Gauge: b.Gauge, Master: b.Master, PartTemp: b.PartTemp, GaugeTemp: b.GaugeTemp, Condition: b.Condition, Note: b.Note,
		Transcribed: b.Transcribed, Person: person, Device: deviceOf(ctx, device), Key: keyOf(in.Job, in.Key), Time: b.Time})
	if err != nil {
		return nil, s.apiFault(err)
	}
	out := &apiReadingOut{}
	o := &out.Body
	o.apiReceipt = receipt(d.Receipt.Receipt, d.Again)
	o.Position, o.State, o.Typed = d.Reading.Position, d.Reading.State, d.Reading.Typed
	if d.After != nil {
		o.Verdict, o.Value, o.Unit = string(d.After.Verdict), d.After.Y, d.After.Unit
	}
	o.Before = was(d.Before)
	return out, nil
}

// apiFault turns faults into a problem document (RFC 9457): one sentence a
// fault, each with the place in the body it belongs to.
func (s *site) apiFault(err error) error {
	var list fault.List
	var f *fault.Fault
	switch {
	case errors.As(err, &list) && len(list) > 0:
	case errors.As(err, &f):
		list = fault.List{f}
	default:
		s.failed(err)
		return huma.Error500InternalServerError(err.Error())
	}
	book := s.english().Book
	details := make([]error, 0, len(list))
	for _, f := range list {
		d := &huma.ErrorDetail{Message: book.Fault(f)}
		switch {
		case f.Path != "":
			d.Location = "body." + f.Path
		case f.File != "":
			d.Location = fmt.Sprintf("%s:%d:%d", f.File, max(f.Line, 1), max(f.Col, 1))
		}
		details = append(details, d)
	}
	sort.SliceStable(details, func(i, k int) bool {
		return details[i].(*huma.ErrorDetail).Location < details[k].(*huma.ErrorDetail).Location
	})
	if list[0].Code == fault.Broken {
		s.failed(err)
	}
	return huma.NewError(statusOf(list[0].Code), book.Fault(list[0]), details...)
}
