package web

import (
	"errors"
	"io"
	"net/http"
	"net/url"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/job"
	"fettle/internal/show/sheet"
	"fettle/internal/show/view"
)

// paper is a sheet of a part to be filled in by hand.
func (s *site) paper(r *http.Request, rd view.Reader) (answer, error) {
	c, j, err := s.judged(r)
	if err != nil {
		return answer{}, err
	}
	q := r.URL.Query()
	component := orText(q.Get("part"), j.Layout.Family.Components[0].ID)
	state := orText(q.Get("state"), job.Found)
	places, _, _, err := s.Bench.Slots(j, component, known(r, "person"), state)
	if err != nil {
		return answer{}, err
	}
	p, ok := c.Paper(rd, component, state, places, baseOf(r))
	if !ok {
		return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
	}
	return answer{kind: "application/pdf", mark: j.Mark() + baseOf(r) + known(r, "person"), name: j.Assessment.Job + "-" + component + ".pdf", write: func(w io.Writer) error {
		pdf, err := sheet.Paper(p, orText(q.Get("paper"), "A4"), j.Job.Last, s.Program, func(n, m int) string {
			return rd.T("sheet.number", "n", rd.Int(n), "m", rd.Int(m))
		})
		if err == nil {
			_, err = w.Write(pdf)
		}
		return err
	}}, nil
}

var transcribePage = arrival{below: []string{"transcribe"}, part: true,
	show: func(s *site, c *view.Case, rd view.Reader, v view.Step, q url.Values) (func(io.Writer) error, bool) {
		component := v.Post[strings.LastIndexByte(v.Post, '/')+1:]
		p, ok := c.TranscribePage(rd, component, orText(q.Get("state"), job.Found), q.Get("version"), v)
		p.Notice = notice(c, rd, q)
		return func(w io.Writer) error { return s.pages.Transcribe(w, p) }, ok
	},
	store: func(s *site, r *http.Request, st bench.Step, _ string) (bench.Receipt, error) {
		return s.transcribe(r, st)
	}}

// transcribe stores every field that has something in it, as typed later from
// paper. What can be read is stored; the rest comes back.
func (s *site) transcribe(r *http.Request, st bench.Step) (bench.Receipt, error) {
	f := r.PostForm
	j, err := s.Bench.Judge(r.Context(), st.Job)
	if err != nil {
		return bench.Receipt{}, err
	}
	taken, wrong := s.taken(f.Get("when"), j)
	var last bench.Receipt
	n := 0
	for i := range j.Layout.Places {
		p := &j.Layout.Places[i]
		value := strings.TrimSpace(f.Get("v-" + p.ID))
		if value == "" {
			continue
		}
		if n++; len(wrong) > 0 {
			break
		}
		in := bench.Reading{Job: st.Job, Position: p.ID, State: f.Get("state"), Value: value, Unit: p.Char.Unit, Mark: st.Mark, Gauge: f.Get("gauge-" + p.Char.ID),
			Master: f.Get("master-" + p.Char.ID), PartTemp: f.Get("part_temp"), GaugeTemp: f.Get("gauge_temp"), Condition: f["condition-"+p.Char.ID],
			Note: f.Get("note"), Transcribed: true, Person: st.Person, Device: deviceOf(r.Context(), device), Key: partKey(st.Key, p.ID), Time: taken}
		if p.Char.Dim() == 0 {
			in.Unit = ""
		}
		done, err := s.Bench.RecordReading(r.Context(), in)
		var list fault.List
		switch {
		case err == nil:
			last = done.Receipt
			f.Del("v-" + p.ID)
		case errors.As(err, &list):
			for _, x := range list {
				switch x.Path {
				case "person", "part_temp", "gauge_temp", "state", "note":
				case "gauge", "master", "condition":
					x = x.In(x.Path + "-" + p.Char.ID)
				default:
					x = x.In("v-" + p.ID)
				}
				wrong = append(wrong, x)
			}
		default:
			return last, err
		}
	}
	if n == 0 {
		wrong = append(wrong, fault.New(fault.Invalid, "bench.no-value").In(""))
	}
	return last, wrong.OrNil()
}

// taken is when the sheet was written, by the shop's clock; empty is now.
func (s *site) taken(text string, j *bench.Judged) (int64, fault.List) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, nil
	}
	zone := s.Zone
	if zone == nil {
		zone = time.UTC
	}
	t, err := time.ParseInLocation("2006-01-02 15:04", text, zone)
	if err != nil || t.UnixMicro() < j.Job.First-int64(24*time.Hour/time.Microsecond) {
		return 0, fault.List{fault.New(fault.Invalid, "bench.bad-when", "found", clip(text)).In("when")}
	}
	if t.UnixMicro() > s.Bench.Now() {
		return 0, fault.List{fault.New(fault.Invalid, "bench.when-later", "found", clip(text)).In("when")}
	}
	return t.UnixMicro(), nil
}
