package web

import (
	"crypto/sha256"
	"errors"
	"io"
	"net/http"
	"net/url"
	"slices"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/show/view"
)

// arrival is one of the pages on what stands before the measuring: how it is
// shown, and how one of its forms is stored.
type arrival struct {
	below []string
	part  bool // its address names a component behind that
	daily bool // another day shows something else
	show  func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool)
	store func(s *site, r *http.Request, st bench.Step, act string) (bench.Receipt, error)
}

// at is the address of the page below its job.
func (a arrival) at(r *http.Request) []string {
	if a.part {
		return append(slices.Clip(a.below), r.PathValue("component"))
	}
	return a.below
}

// arrivalForm is the page with empty forms.
func (s *site) arrivalForm(a arrival) func(*http.Request, view.Reader) (answer, error) {
	return func(r *http.Request, rd view.Reader) (answer, error) {
		c, j, err := s.judged(r)
		if err != nil {
			return answer{}, err
		}
		person := known(r, "person")
		mark := j.Mark() + person
		if a.daily {
			mark += s.tomorrow()
		}
		return answer{mark: mark, keyed: true, write: func(w io.Writer) error {
			write, ok := a.show(s, c, rd, c.StepOf(rd, noKey, person, a.at(r)...), r.URL.Query())
			if !ok {
				return fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
			}
			return write(w)
		}}, nil
	}
}

// arrivalPost takes one of the forms. What is wrong comes back beside its
// field, with what was typed.
func (s *site) arrivalPost(a arrival) func(*http.Request, view.Reader) (answer, error) {
	return func(r *http.Request, rd view.Reader) (answer, error) {
		if err := r.ParseForm(); err != nil {
			return answer{}, err
		}
		c, j, err := s.judged(r)
		if err != nil {
			return answer{}, err
		}
		f := r.PostForm
		act := f.Get("act")
		key, err := entry.ParseKey(f.Get("key"))
		if err != nil {
			return answer{}, err
		}
		st := bench.Step{Job: j.Assessment.Job, Person: f.Get("person"), Device: deviceOf(r.Context(), device), Key: partKey(key, act), Reason: f.Get("reason"), Mark: '.'}
		if f.Get("mark") == "comma" {
			st.Mark = ','
		}
		got, err := a.store(s, r, st, act)
		if err == nil {
			to := view.JobHref(st.Job, a.at(r)...) + "?" + url.Values{"stored": {strconv.FormatInt(got.Seq, 10)}}.Encode()
			return answer{see: to, cookie: []*http.Cookie{lastPerson(r, st.Person)}}, nil
		}
		faults, err := s.stepFaults(rd, err)
		if err != nil {
			return answer{}, err
		}
		fresh, err := s.newKey()
		if err != nil {
			return answer{}, err
		}
		typed := map[string]string{}
		for name := range f {
			typed[name] = f.Get(name)
		}
		if again, _, err := s.judged(r); err == nil {
			c = again // a part of the form may be stored
		}
		write, ok := a.show(s, c, rd, c.StepOf(rd, fresh, st.Person, a.at(r)...).Back(act, typed, faults), f)
		if !ok {
			return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
		}
		return answer{status: http.StatusUnprocessableEntity, write: write}, nil
	}
}

// partKey is the key of one entry of a page whose forms share a key.
func partKey(page entry.Key, act string) (k entry.Key) {
	sum := sha256.Sum256(append(page[:], act...))
	copy(k[:], sum[:])
	return k
}

// stepFaults sorts the faults of a form by field; gates and parts are named in
// the reader's words.
func (s *site) stepFaults(rd view.Reader, err error) (map[string][]string, error) {
	list, err := ofForm(err)
	if err != nil {
		return nil, err
	}
	out := map[string][]string{}
	for _, f := range list {
		if g, ok := f.Args["gate"]; ok {
			f = f.With("gate", rd.GateName(s.Bench.Library(), g))
		}
		f = s.workNames(rd, f)
		if say := rd.Book.Fault(f); !slices.Contains(out[f.Path], say) {
			out[f.Path] = append(out[f.Path], say)
		}
	}
	return out, nil
}

var intakePage = arrival{below: []string{"intake"},
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		p := c.IntakePage(rd, v)
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Intake(w, p) }, true
	},
	store: func(s *site, r *http.Request, st bench.Step, act string) (bench.Receipt, error) {
		f := r.PostForm
		fields := map[string]string{}
		for name := range f {
			fields[name] = f.Get(name)
		}
		switch {
		case act == "sign":
			return s.Bench.Sign(r.Context(), st, f.Get("name"), f.Get("role"), f.Get("digest"))
		case strings.HasPrefix(act, "strike-"):
			return s.Bench.Note(r.Context(), bench.Noting{Step: st, Instead: f.Get("instead"), Strike: true})
		case strings.HasPrefix(act, "panel-"):
			return s.panel(r, st, fields)
		}
		return s.Bench.Note(r.Context(), bench.Noting{Step: st, Topic: act, Fields: fields, Parts: f["parts"]})
	}}

func orText(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

// panel stores every field of a test that has something in it. What can be
// read is stored; the rest comes back.
func (s *site) panel(r *http.Request, st bench.Step, fields map[string]string) (bench.Receipt, error) {
	var names []string
	for name := range fields {
		if strings.HasPrefix(name, "v-") && strings.TrimSpace(fields[name]) != "" {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	var last bench.Receipt
	var wrong fault.List
	for _, name := range names {
		at := strings.TrimPrefix(name, "v-")
		in := bench.Noting{Step: st, Topic: job.TopicPanel, Fields: map[string]string{"test": fields["test"], "at": at, "value": fields[name], "unit": fields["unit"],
			"rpm": fields["rpm-"+at]}}
		in.Key = partKey(st.Key, at)
		got, err := s.Bench.Note(r.Context(), in)
		var list fault.List
		switch {
		case err == nil:
			last = got
			r.PostForm.Del(name)
			r.PostForm.Del("rpm-" + at)
		case errors.As(err, &list):
			for _, f := range list {
				if f.Path != "person" {
					f = f.In(name)
				}
				wrong = append(wrong, f)
			}
		default:
			return last, err
		}
	}
	if len(names) == 0 {
		wrong = fault.List{fault.New(fault.Invalid, "bench.no-value").In("")}
	}
	return last, wrong.OrNil()
}
