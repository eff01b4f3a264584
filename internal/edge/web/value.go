package web

import (
	"encoding/hex"
	"errors"
	"io"
	"net/http"
	"net/url"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/judge/assess"
	"fettle/internal/show/view"
)

// device is what entries made on a page name as their device.
const device = "page"

// noKey holds the place of a key in a page that is kept; the log refuses it.
const noKey = "00000000000000000000000000000000"

// newKey makes the key that the entry of one form will have.
func (s *site) newKey() (string, error) {
	var k entry.Key
	if _, err := io.ReadFull(s.Random, k[:]); err != nil {
		return "", fault.New(fault.Broken, "fault.other", "error", err.Error())
	}
	return hex.EncodeToString(k[:]), nil
}

// value is the page of one value. Its form carries a key of its own, so no
// browser keeps it.
func (s *site) value(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	position, state := r.PathValue("position"), r.URL.Query().Get("state")
	person := known(r, "person")
	return answer{mark: j.Mark() + person, keyed: true, write: func(w io.Writer) error {
		in := state
		if in == "" {
			in = c.StateOf(position)
		}
		typed := view.Typed{Fresh: true, State: in, Person: person}
		v, ok := c.AtPage(rd, position, state, c.FormFor(rd, position, noKey, typed, nil))
		if !ok {
			return fault.New(fault.Missing, "bench.no-position", "found", clip(position))
		}
		v.Notice = notice(c, rd, r.URL.Query())
		return s.pages.At(w, v)
	}}, nil
}

// known is what a browser last typed into a field that repeats.
func known(r *http.Request, name string) string {
	if c, err := r.Cookie("last-" + name); err == nil {
		return c.Value
	}
	return ""
}

func (s *site) valueView(c *view.Case, rd view.Reader, position, state string, t view.Typed, faults map[string][]string) (view.At, error) {
	key, err := s.newKey()
	if err != nil {
		return view.At{}, err
	}
	v, ok := c.AtPage(rd, position, state, c.FormFor(rd, position, key, t, faults))
	if !ok {
		return v, fault.New(fault.Missing, "bench.no-position", "found", clip(position))
	}
	return v, nil
}

// notice says what was stored, from the log itself: the address only names the
// entry and the verdict before it.
func notice(c *view.Case, rd view.Reader, q url.Values) string {
	seq, err := strconv.ParseInt(q.Get("stored"), 10, 64)
	if err != nil {
		return ""
	}
	return c.Stored(rd, seq, q.Get("was"))
}

// read takes the forms of a value's page: a reading, or an answer.
func (s *site) read(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	if r.PostForm.Get("act") == "answer" {
		return s.answered(r, rd)
	}
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	in, t, err := readingOf(r, j, r.PathValue("position"))
	if err != nil {
		return answer{}, err
	}
	done, err := s.Bench.RecordReading(r.Context(), in)
	if err != nil {
		faults, err := s.fields(rd, err)
		if err != nil {
			return answer{}, err
		}
		v, err := s.valueView(c, rd, in.Position, t.State, t, faults)
		if err != nil {
			return answer{}, err
		}
		return answer{status: http.StatusUnprocessableEntity, write: func(w io.Writer) error { return s.pages.At(w, v) }}, nil
	}
	return answer{see: seeValue(in.Job, done), cookie: []*http.Cookie{lastPerson(r, in.Person)}}, nil
}

// seeValue is the address on which the consequence of an entry is seen.
func seeValue(job string, d bench.Done) string {
	u := view.AtHref(job, d.Reading.Position, d.Reading.State)
	q := url.Values{"stored": {strconv.FormatInt(d.Seq, 10)}, "was": {was(d.Before)}}
	if d.Reading.State != "found" {
		return u + "&" + q.Encode()
	}
	return u + "?" + q.Encode()
}

func was(v *assess.Value) string {
	if v == nil {
		return string(assess.Unmeasured)
	}
	return string(v.Verdict)
}

// readingOf reads the form of a reading.
func readingOf(r *http.Request, j *bench.Judged, position string) (bench.Reading, view.Typed, error) {
	f := r.PostForm
	t := view.Typed{Value: f.Get("value"), Unit: f.Get("unit"), Gauge: f.Get("gauge"), Master: f.Get("master"), PartTemp: f.Get("part_temp"),
		GaugeTemp: f.Get("gauge_temp"), Person: f.Get("person"), State: f.Get("state"), Note: f.Get("note"), Reason: f.Get("reason"), Condition: f["condition"]}
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return bench.Reading{}, t, err
	}
	mark := byte('.')
	if m := f.Get("mark"); m != "" {
		mark = m[0]
	}
	return bench.Reading{Job: j.Assessment.Job, Position: position, State: t.State, Value: t.Value, Unit: t.Unit, Mark: mark, Gauge: t.Gauge, Master: t.Master,
		PartTemp: t.PartTemp, GaugeTemp: t.GaugeTemp, Condition: t.Condition, Note: t.Note, Person: t.Person, Device: deviceOf(r.Context(), device), Key: key}, t, nil
}

// ofForm is what a form was refused for; what is broken or missing is no fault
// of a form and comes back as an error.
func ofForm(err error) (fault.List, error) {
	var list fault.List
	if errors.As(err, &list) {
		return list, nil
	}
	var f *fault.Fault
	if !errors.As(err, &f) || f.Code == fault.Broken || f.Code == fault.Missing {
		return nil, err
	}
	return fault.List{f}, nil
}

// fields sorts the faults of a form by field.
func (s *site) fields(rd view.Reader, err error) (map[string][]string, error) {
	list, err := ofForm(err)
	if err != nil {
		return nil, err
	}
	out := map[string][]string{}
	for _, f := range list {
		field := f.Path
		switch field {
		case "value", "unit", "gauge", "master", "part_temp", "gauge_temp", "condition", "state", "person", "reason",
			"part", "at", "kind", "severity", "within", "saw", "photo", "words",
			"true", "read", "date", "due", "bias", "expanded", "coverage", "file", "result":
		default:
			field = ""
		}
		say := rd.Book.Fault(f)
		if f.Line > 0 {
			say = f.File + ":" + strconv.Itoa(f.Line) + ": " + say
		}
		out[field] = append(out[field], say)
	}
	return out, nil
}
