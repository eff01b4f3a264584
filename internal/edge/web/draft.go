package web

import (
	"encoding/hex"
	"io"
	"net/http"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/know/source"
	"fettle/internal/show/view"
)

// byField is every fault as a sentence, by the field it belongs to; what is
// broken or missing belongs to none and comes back as an error.
func byField(rd view.Reader, err error) (map[string]string, error) {
	out := map[string]string{}
	for _, f := range fault.All(err) {
		if f.Code == fault.Broken || f.Code == fault.Missing {
			return nil, err
		}
		if out[f.Path] != "" {
			out[f.Path] += " "
		}
		out[f.Path] += rd.Book.Fault(f)
	}
	return out, nil
}

// reviseForm is the page on which a draft begins.
func (s *site) reviseForm(r *http.Request, rd view.Reader) (answer, error) {
	t := view.Starting{Base: r.URL.Query().Get("from")}
	if id := r.PathValue("id"); id != "" {
		if s.Bench.Library().Families[id] == nil {
			return answer{}, fault.New(fault.Missing, "bench.no-family", "family", clip(id))
		}
		t.Base = id
	}
	return s.revisePage(rd, t, nil, 0)
}

func (s *site) revisePage(rd view.Reader, t view.Starting, faults map[string]string, status int) (answer, error) {
	list, err := s.Bench.Drafts()
	if err != nil {
		return answer{}, err
	}
	lib := s.Bench.Library()
	var drafts []view.Making
	for _, d := range list {
		base, _ := lib.Pinned(d.Patch.Base, d.Patch.Digest)
		drafts = append(drafts, view.Making{ID: d.ID, Patch: d.Patch, Base: base, Library: lib})
	}
	v := rd.RevisePage(lib, t, drafts, faults)
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Revise(w, v) }}, nil
}

// begin begins a draft.
func (s *site) begin(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	t := view.Starting{Base: f.Get("base"), ID: f.Get("id"), Name: f.Get("name"), Note: f.Get("note"), Revision: f.Get("kind") == "revision"}
	var k entry.Key
	if _, err := io.ReadFull(s.Random, k[:]); err != nil {
		return answer{}, fault.New(fault.Broken, "fault.other", "error", err.Error())
	}
	id := hex.EncodeToString(k[:8])
	err := s.Bench.BeginDraft(id, bench.Start{Base: t.Base, ID: t.ID, Name: t.Name, Note: t.Note, Revision: t.Revision})
	if err != nil {
		faults, err := byField(rd, err)
		if err != nil {
			return answer{}, err
		}
		return s.revisePage(rd, t, faults, http.StatusUnprocessableEntity)
	}
	return answer{see: view.DraftHref(id)}, nil
}

// making is a draft as views speak of it.
func (s *site) making(r *http.Request) (*view.Making, *bench.Draft, error) {
	d, err := s.Bench.Draft(r.PathValue("draft"))
	if err != nil {
		return nil, nil, err
	}
	return &view.Making{ID: d.ID, Patch: d.Patch, Base: d.Base, Layout: d.Layout, Moved: d.Moved, Faults: d.Faults, Differences: d.Differences,
		Library: s.Bench.Library()}, d, nil
}

func (s *site) draft(r *http.Request, rd view.Reader) (answer, error) {
	return s.draftPage(r, rd, known(r, "person"), nil, 0)
}

func (s *site) draftPage(r *http.Request, rd view.Reader, person string, faults map[string]string, status int) (answer, error) {
	m, _, err := s.making(r)
	if err != nil {
		return answer{}, err
	}
	sh, err := s.Bench.Shop(r.Context())
	if err != nil {
		return answer{}, err
	}
	v := rd.DraftPage(m, sh, person, faults)
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Draft(w, v) }}, nil
}

// decide takes a draft up or discards it.
func (s *site) decide(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	id, person := r.PathValue("draft"), r.PostForm.Get("person")
	switch r.PostForm.Get("act") {
	case "discard":
		return answer{see: "/family/new"}, s.Bench.DropDraft(id)
	case "adopt":
		l, err := s.Bench.Adopt(r.Context(), id, person)
		if err == nil {
			return answer{see: view.FamilyHref(l.Family.ID) + "?adopted=" + l.Digest}, nil
		}
		faults, err := byField(rd, err)
		if err != nil {
			return answer{}, err
		}
		return s.draftPage(r, rd, person, faults, http.StatusUnprocessableEntity)
	}
	return answer{}, fault.New(fault.Invalid, "bench.bad-form", "error", "act")
}

// draftFile is the family file that a draft makes; one that is not sound is not
// handed out.
func (s *site) draftFile(r *http.Request, _ view.Reader) (answer, error) {
	_, d, err := s.making(r)
	if err != nil {
		return answer{}, err
	}
	if !d.Sound() {
		return answer{}, d.Faults
	}
	return answer{kind: "application/yaml", name: d.Patch.ID + ".yaml", save: true, write: func(w io.Writer) error {
		_, err := w.Write(d.Text)
		return err
	}}, nil
}

func (s *site) draftSheet(r *http.Request, rd view.Reader) (answer, error) {
	return s.draftSheetPage(r, rd, nil, nil, 0)
}

func (s *site) draftSheetPage(r *http.Request, rd view.Reader, typed *view.TypedDraft, faults map[string]string, status int) (answer, error) {
	m, _, err := s.making(r)
	if err != nil {
		return answer{}, err
	}
	v, ok := rd.DraftSheetPage(m, r.PathValue("component"), typed, faults)
	if !ok {
		return answer{}, fault.New(fault.Missing, "page.problem.missing.text", "path", clip(r.URL.Path))
	}
	return answer{status: status, write: func(w io.Writer) error { return s.pages.DraftSheet(w, v) }}, nil
}

// editSheet takes a sheet into a draft and shows the draft.
func (s *site) editSheet(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	t := view.TypedDraft{Fields: map[string]string{}, From: f.Get("from"), Status: f.Get("status"),
		Source: source.Source{Title: f.Get("source.title"), Kind: f.Get("source.kind"), Place: f.Get("source.place"), Seen: f.Get("source.seen")}}
	for name, v := range f {
		if strings.HasPrefix(name, "engine.") || strings.Contains(name, "/") {
			t.Fields[name] = v[0]
		}
	}
	mark := byte('.')
	if f.Get("mark") == "," {
		mark = ','
	}
	err := s.Bench.EditDraft(r.PathValue("draft"), bench.TypedSheet{Component: r.PathValue("component"), Mark: mark, Fields: t.Fields,
		Source: t.Source, From: t.From, Status: t.Status})
	if err != nil {
		faults, err := byField(rd, err)
		if err != nil {
			return answer{}, err
		}
		return s.draftSheetPage(r, rd, &t, faults, http.StatusUnprocessableEntity)
	}
	return answer{see: view.DraftHref(r.PathValue("draft"))}, nil
}

// repinForm is the page of a job's move to another version of its family.
func (s *site) repinForm(r *http.Request, rd view.Reader) (answer, error) {
	return s.repinPage(r, rd, known(r, "person"), "", nil, 0)
}

func (s *site) repinPage(r *http.Request, rd view.Reader, person, reason string, faults map[string]string, status int) (answer, error) {
	p, j, err := s.Bench.PreviewRepin(r.Context(), r.PathValue("job"))
	if err != nil {
		return answer{}, err
	}
	key, err := s.newKey()
	if err != nil {
		return answer{}, err
	}
	m := view.Moving{From: p.From, To: p.To, Exact: p.Exact, Differences: p.Differences, Changes: p.Changes, Moved: p.Moved, Gone: p.Gone, After: p.After}
	v := s.caseOf(r.PathValue("job"), j).RepinPage(rd, m, key, person, reason, faults)
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Repin(w, v) }}, nil
}

// repin moves a job to the version that was previewed.
func (s *site) repin(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return answer{}, err
	}
	id := r.PathValue("job")
	_, err = s.Bench.Repin(r.Context(), bench.Move{Job: id, To: f.Get("to"), Reason: f.Get("reason"), Person: f.Get("person"), Device: deviceOf(r.Context(), device), Key: key})
	if err != nil {
		if _, err := ofForm(err); err != nil {
			return answer{}, err
		}
		faults, err := byField(rd, err)
		if err != nil {
			return answer{}, err
		}
		return s.repinPage(r, rd, f.Get("person"), f.Get("reason"), faults, http.StatusUnprocessableEntity)
	}
	return answer{see: view.JobHref(id)}, nil
}
