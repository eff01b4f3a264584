package web

import (
	"context"
	"io"
	"net/http"

	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/show/view"
)

// undoForm is the page on which a calibration or a check is withdrawn: first it
// tells which verdicts leaned on it.
func (s *site) undoForm(r *http.Request, rd view.Reader) (answer, error) {
	return s.undoPage(r, rd, view.GaugeTyped{Person: known(r, "person")}, nil, 0)
}

func (s *site) undoPage(r *http.Request, rd view.Reader, t view.GaugeTyped, faults map[string][]string, status int) (answer, error) {
	ctx, id, target := r.Context(), r.PathValue("gauge"), r.PathValue("key")
	u, err := s.Bench.OfferUnsaying(ctx, bench.Unsaying{Gauge: id, Target: target, Device: deviceOf(r.Context(), device), Key: bench.UnsayingKey(id, target)})
	if err != nil {
		return answer{}, err
	}
	sh, err := s.Bench.Shop(ctx)
	if err != nil {
		return answer{}, err
	}
	undo := rd.Undo(sh, id, target, u.Calibration, u.Check)
	leaned, err := s.leanings(ctx, u.Leaned)
	if err != nil {
		return answer{}, err
	}
	var reopened []view.ReopenedJob
	for _, x := range u.Reopened {
		c, err := s.caseNamed(ctx, x.Job)
		if err != nil {
			return answer{}, err
		}
		reopened = append(reopened, rd.Reopened(c, x.Changes, x.Moved))
	}
	undo.Without(rd, leaned, reopened)
	v, err := s.gaugeView(r, rd, t, "withdraw", faults)
	if err != nil {
		return answer{}, err
	}
	v.Undo = undo
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Gauge(w, v) }}, nil
}

// leanings are verdicts that leaned on a gauge with the cases they belong to.
func (s *site) leanings(ctx context.Context, list []bench.Leaned) ([]view.Leaning, error) {
	var out []view.Leaning
	for _, l := range list {
		c, err := s.caseNamed(ctx, l.Job)
		if err != nil {
			return nil, err
		}
		out = append(out, view.Leaning{Case: c, Leans: l.Leans})
	}
	return out, nil
}

// undo withdraws an entry about a gauge.
func (s *site) undo(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	t := view.GaugeTyped{Reason: f.Get("reason"), Person: f.Get("person")}
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return answer{}, err
	}
	id := r.PathValue("gauge")
	u, err := s.Bench.Unsay(r.Context(), bench.Unsaying{Gauge: id, Target: r.PathValue("key"), Reason: t.Reason, Person: t.Person, Device: deviceOf(r.Context(), device), Key: key})
	if err != nil {
		faults, err := s.fields(rd, err)
		if err != nil {
			return answer{}, err
		}
		return s.undoPage(r, rd, t, faults, http.StatusUnprocessableEntity)
	}
	return seeGauge(id, t.Person, u.Again), nil
}
