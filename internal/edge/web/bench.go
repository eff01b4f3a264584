package web

import (
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/show/view"
)

// stateOf is the state that a bench page works in.
func stateOf(r *http.Request) string {
	if s := r.URL.Query().Get("state"); job.KnownState(s) {
		return s
	}
	return job.Found
}

// personOf is who stands at a bench: signed in, or named in the address, or who was there
// last in this browser.
func personOf(r *http.Request) string {
	if v := visit(r.Context()); v.In() {
		return v.Person
	}
	if p := r.URL.Query().Get("person"); p != "" {
		return p
	}
	return known(r, "person")
}

// benchStart leads to the part at which something is open, or to the first.
func (s *site) benchStart(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	h, err := s.Bench.Hand(personOf(r))
	if err != nil {
		return answer{}, err
	}
	parts := c.BenchParts(rd, stateOf(r))
	to, last := "", int64(-1)
	for _, p := range parts {
		if stop, ok := h.Stops[j.Assessment.Job+" "+p.ID]; ok && stop.Time > last && p.Open > 0 {
			to, last = p.ID, stop.Time
		}
	}
	for _, p := range parts {
		if to == "" && p.Open > 0 {
			to = p.ID
		}
	}
	if to == "" && len(parts) > 0 {
		to = parts[0].ID
	}
	if to == "" {
		return answer{}, fault.New(fault.Missing, "bench.nothing-to-measure")
	}
	see := view.JobHref(j.Assessment.Job, "bench", to)
	if r.URL.RawQuery != "" {
		see += "?" + r.URL.RawQuery
	}
	return answer{see: see}, nil
}

// benchPage is the page of a part.
func (s *site) benchPage(r *http.Request, rd view.Reader) (answer, error) {
	person, state := personOf(r), stateOf(r)
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	if blind(r) {
		places, _, _, err := s.Bench.Slots(j, r.PathValue("component"), person, state)
		if err != nil {
			return answer{}, err
		}
		if places, _ := c.ToReadBlind(places, person, state); len(places) == 0 {
			return answer{}, fault.New(fault.Missing, "bench.nothing-blind")
		}
	}
	return answer{mark: j.Mark() + person + s.scripts.version, write: func(w io.Writer) error {
		v, ok := c.BenchPage(rd, r.PathValue("component"), person, state, s.scripts.version)
		if !ok {
			return fault.New(fault.Missing, "bench.no-part", "found", clip(r.PathValue("component")))
		}
		if blind(r) {
			v.Under = rd.T("page.bench.blind")
		}
		return s.pages.Bench(w, v)
	}}, nil
}

// blind reports a bench at which what others read stays out of sight until one
// has read oneself.
func blind(r *http.Request) bool { return r.URL.Query().Get("blind") == "yes" }

// sheet is a part as the bench page works with it: whole, or only the
// positions that the address names.
func (s *site) benchSheet(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	comp, person, state := r.PathValue("component"), personOf(r), stateOf(r)
	if j.Layout.Component(comp) == nil {
		return answer{}, fault.New(fault.Missing, "bench.no-part", "found", clip(comp))
	}
	places, order, at, err := s.Bench.Slots(j, comp, person, state)
	if err != nil {
		return answer{}, err
	}
	only := r.URL.Query()["only"]
	if blind(r) {
		places, at = c.ToReadBlind(places, person, state)
	}
	v := s.sheetOf(c, rd, j, comp, state, places, only, !r.URL.Query().Has("undrawn"))
	v.Person, v.At, v.Way = person, at, order.Way
	if v.Way == "" {
		v.Way = bench.WayHand
	}
	v.First = append(v.First, order.First...)
	if blind(r) {
		c.Blind(&v, person)
	}
	return jsonAnswer(v), nil
}

// sheetOf makes a whole sheet, or one of some positions.
func (s *site) sheetOf(c *view.Case, rd view.Reader, j *bench.Judged, comp, state string, places []int, only []string, drawn bool) view.BenchSheet {
	if len(only) == 0 {
		return c.BenchSheet(rd, comp, state, places, true, drawn)
	}
	var some []int
	for _, id := range only {
		if at, ok := j.Layout.Find(id); ok && j.Layout.Places[at].Char.Relation == "" {
			some = append(some, at)
		}
	}
	return c.BenchSheet(rd, comp, state, some, false, false)
}

func jsonAnswer(v any) answer {
	return answer{kind: "application/json", write: func(w io.Writer) error { return json.NewEncoder(w).Encode(v) }}
}

// sent is what a bench page sends.
type sent struct {
	Device    string     `json:"device"`
	Person    string     `json:"person"`
	Component string     `json:"component"`
	State     string     `json:"state"`
	At        string     `json:"at"` // where the person stands now
	Items     []sentItem `json:"items"`
}

type sentItem struct {
	N         int64    `json:"n"` // number of this device
	Key       string   `json:"key"`
	Kind      string   `json:"kind"`
	Time      int64    `json:"time"` // writer's clock, µs
	Person    string   `json:"person"`
	Position  string   `json:"position"`
	State     string   `json:"state"`
	Value     string   `json:"value"`
	Unit      string   `json:"unit"`
	Mark      string   `json:"mark"`
	Base      string   `json:"base"`
	Step      string   `json:"step"`
	Steps     string   `json:"steps"`
	Gauge     string   `json:"gauge"`
	Master    string   `json:"master"`
	PartTemp  string   `json:"part_temp"`
	GaugeTemp string   `json:"gauge_temp"`
	Condition []string `json:"condition"`
	Note      string   `json:"note"`
	Copied    bool     `json:"transcribed"`
	Seen      int      `json:"seen"`
	Target    string   `json:"target"`
	Reason    string   `json:"reason"`
	About     string   `json:"about"`
	Answer    string   `json:"answer"`
	A         string   `json:"a"`
	B         string   `json:"b"`
	Because   string   `json:"because"`
}

// told is the answer to it.
type told struct {
	Head    string               `json:"head"`
	Seq     int64                `json:"seq"`
	Missing int64                `json:"missing,omitempty"`
	Items   []toldItem           `json:"items"`
	Slots   []view.BenchSlot     `json:"slots"`
	Marks   map[string]string    `json:"marks"`
	Asked   []view.BenchQuestion `json:"asked"`
}

type toldItem struct {
	N        int64            `json:"n"`
	Key      string           `json:"key"`
	Seq      int64            `json:"seq,omitempty"`
	Head     string           `json:"head,omitempty"`
	Again    bool             `json:"again,omitempty"`
	Position string           `json:"position,omitempty"`
	State    string           `json:"state,omitempty"`
	Reading  string           `json:"reading,omitempty"`
	Refused  []refusal        `json:"refused,omitempty"`
	Perhaps  []maybe          `json:"perhaps,omitempty"`
	Others   []view.BenchLast `json:"others,omitempty"`
}

type refusal struct {
	Field string `json:"field"`
	Say   string `json:"say"`
}

// maybe is a number that a text may stand for, to choose from.
type maybe struct {
	Text  string `json:"text"` // as the person writes it
	Value string `json:"value"`
	Unit  string `json:"unit"`
}

// enter takes a batch from a bench.
func (s *site) enter(r *http.Request, rd view.Reader) (answer, error) {
	kind, _, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if kind != "application/json" {
		return answer{}, fault.New(fault.Invalid, "bench.not-json")
	}
	var in sent
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(&in); err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return answer{}, err
		}
		return answer{}, fault.New(fault.Invalid, "bench.bad-form", "error", err.Error())
	}
	if in.Device == "" || len(in.Device) > 64 {
		return answer{}, fault.New(fault.Invalid, "bench.no-device")
	}
	var err error
	if in.Person, err = s.person(r.Context(), in.Person); err != nil {
		return answer{}, err
	}
	in.Device = deviceOf(r.Context(), in.Device)
	items := make([]bench.Item, len(in.Items))
	for i := range in.Items {
		if in.Items[i].Person, err = s.person(r.Context(), in.Items[i].Person); err != nil {
			return answer{}, err
		}
		it, err := in.Items[i].item(in.Device)
		if err != nil {
			return answer{}, err
		}
		items[i] = it
	}
	id := r.PathValue("job")
	e, err := s.Bench.Enter(r.Context(), id, in.Device, items)
	if err != nil {
		return answer{}, err
	}
	if in.At != "" {
		// Where somebody stands is no fact; that it could not be noted is no reason
		// to refuse what was.
		if err := s.Bench.StopAt(r.Context(), id, in.Person, in.At, len(items) == 0); err != nil {
			var list fault.List
			if !errors.As(err, &list) {
				s.failed(err)
			}
		}
	}
	a := jsonAnswer(s.tell(rd, id, &in, e))
	if in.Person != "" && plainCookie(in.Person) {
		a.cookie = []*http.Cookie{{Name: "last-person", Value: in.Person, Path: "/job/", MaxAge: 12 * 3600, HttpOnly: true, Secure: r.TLS != nil, SameSite: http.SameSiteLaxMode}}
	}
	return a, nil
}

func plainCookie(s string) bool {
	for _, c := range s {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.') {
			return false
		}
	}
	return len(s) <= 64
}

func (t *sentItem) item(on string) (bench.Item, error) {
	key, err := entry.ParseKey(t.Key)
	if err != nil {
		return bench.Item{}, err
	}
	mark := byte('.')
	if t.Mark != "" {
		mark = t.Mark[0]
	}
	return bench.Item{Kind: t.Kind, Count: t.N, Base: t.Base, Step: t.Step, Steps: t.Steps, Seen: max(0, t.Seen), Target: t.Target, Reason: t.Reason,
		About: t.About, Answer: t.Answer, A: t.A, B: t.B, Because: t.Because,
		Reading: bench.Reading{Position: t.Position, State: t.State, Value: t.Value, Unit: t.Unit, Mark: mark, Gauge: t.Gauge, Master: t.Master, PartTemp: t.PartTemp,
			GaugeTemp: t.GaugeTemp, Condition: t.Condition, Note: t.Note, Transcribed: t.Copied, Person: t.Person, Device: on, Key: key, Time: max(0, t.Time)}}, nil
}

// tell says what became of a batch, and how the positions stand that it was
// about.
func (s *site) tell(rd view.Reader, id string, in *sent, e bench.Entered) told {
	c := s.caseOf(id, e.Judged)
	out := told{Head: e.Judged.Job.Head.Short(), Seq: e.Judged.Job.Seq, Missing: e.Missing, Items: []toldItem{}, Slots: []view.BenchSlot{},
		Marks: map[string]string{}, Asked: []view.BenchQuestion{}}
	state := in.State
	if !job.KnownState(state) {
		state = job.Found
	}
	seen := map[string]bool{}
	for i := range e.Outcomes {
		o := &e.Outcomes[i]
		t := toldItem{N: in.Items[i].N, Key: in.Items[i].Key, Position: o.Position, State: o.State, Reading: o.Reading, Again: o.Again}
		if o.Receipt != nil {
			t.Seq, t.Head = o.Receipt.Seq, o.Receipt.Head
		}
		for _, f := range o.Faults {
			t.Refused = append(t.Refused, refusal{f.Path, rd.Book.Fault(f)})
		}
		for _, p := range o.Perhaps {
			t.Perhaps = append(t.Perhaps, maybe{Text: p.In(rd.Mark), Value: p.Text, Unit: p.Unit})
		}
		for k := range o.Others {
			t.Others = append(t.Others, c.Last(rd, &o.Others[k]))
		}
		out.Items = append(out.Items, t)
		if at, ok := e.Judged.Layout.Find(o.Position); ok && !seen[o.Position] && e.Judged.Layout.Places[at].Char.Relation == "" {
			seen[o.Position] = true
			out.Slots = append(out.Slots, c.Slot(rd, at, state))
		}
	}
	if e.Before != e.Judged {
		out.Asked = c.Asked(rd, e.Before.Assessment)
		if in.Component != "" {
			out.Marks = c.Changed(e.Before.Assessment, in.Component, state)
		}
	}
	return out
}

// sentOrder is the order in which a person wants to measure a part.
type sentOrder struct {
	Person string   `json:"person"`
	Way    string   `json:"way"`
	First  []string `json:"first"`
}

// reorder notes it.
func (s *site) reorder(r *http.Request, rd view.Reader) (answer, error) {
	var in sentOrder
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(&in); err != nil {
		return answer{}, fault.New(fault.Invalid, "bench.bad-form", "error", err.Error())
	}
	if len(in.First) > 200 {
		return answer{}, fault.New(fault.TooLarge, "bench.too-many-items", "found", strconv.Itoa(len(in.First)), "most", "200")
	}
	var err error
	if in.Person, err = s.person(r.Context(), in.Person); err != nil {
		return answer{}, err
	}
	if err := s.Bench.Reorder(r.Context(), r.PathValue("job"), in.Person, r.PathValue("component"), bench.Order{Way: in.Way, First: in.First}); err != nil {
		return answer{}, err
	}
	return s.benchSheet(r, rd)
}

// data turns a function that answers programs into a handler: what is wrong is
// said as JSON.
func (s *site) data(f func(*http.Request, view.Reader) (answer, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		rd := s.reader(r)
		a, err := f(r, rd)
		if err != nil {
			a = s.wrong(rd, err)
		}
		for _, c := range a.cookie {
			c.Secure = r.TLS != nil // what goes over TLS goes nowhere else
			http.SetCookie(w, c)
		}
		s.send(w, r, rd, a)
	}
}

// wrong says as JSON why a request as a whole was not taken.
func (s *site) wrong(rd view.Reader, err error) answer {
	list := fault.List{}
	var f *fault.Fault
	var big *http.MaxBytesError
	status := http.StatusInternalServerError
	out := struct {
		Say []string `json:"say"`
	}{}
	switch {
	case errors.As(err, &big):
		status, out.Say = http.StatusRequestEntityTooLarge, []string{rd.T("page.problem.large", "most", strconv.FormatInt(big.Limit>>10, 10)+" KiB")}
	case errors.As(err, &list) && len(list) > 0, errors.As(err, &f):
		if f != nil && len(list) == 0 {
			list = fault.List{f}
		}
		status = statusOf(list[0].Code)
		for _, f := range list {
			out.Say = append(out.Say, rd.Book.Fault(f))
		}
		if list[0].Code == fault.Broken {
			s.failed(err)
		}
	default:
		s.failed(err)
		out.Say = []string{rd.T("page.problem.broken.text", "error", err.Error())}
	}
	a := jsonAnswer(out)
	a.status = status
	return a
}
