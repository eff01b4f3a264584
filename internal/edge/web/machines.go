package web

import (
	"io"
	"net/http"
	"strings"

	"fettle/internal/edge/bench"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/show/view"
)

// machines is the page of the shop's machines and fixtures.
func (s *site) machines(r *http.Request, rd view.Reader) (answer, error) {
	sh, err := s.Bench.Shop(r.Context())
	if err != nil {
		return answer{}, err
	}
	key, err := s.newKey()
	if err != nil {
		return answer{}, err
	}
	v := rd.MachinesPage(s.Bench.Library(), sh, rd.ShopStep(sh, "/machines", key, known(r, "person")))
	if r.URL.Query().Get("stored") != "" {
		v.Notice = rd.T("page.machines.stored")
	}
	return answer{write: func(w io.Writer) error { return s.pages.Machines(w, v) }}, nil
}

// equip stores one machine or fixture, or turns one out of order and back.
func (s *site) equip(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, err
	}
	sh, err := s.Bench.Shop(r.Context())
	if err != nil {
		return answer{}, err
	}
	f := r.PostForm
	act, person := f.Get("act"), f.Get("person")
	key, err := entry.ParseKey(f.Get("key"))
	if err != nil {
		return answer{}, err
	}
	in := bench.Equipping{Person: person, Device: deviceOf(r.Context(), device), Key: partKey(key, act)}
	if id, ok := strings.CutPrefix(act, "turn-machine-"); ok {
		m := sh.Machines[id]
		m.Gone = !m.Gone
		in.Machine = &m
	} else if id, ok := strings.CutPrefix(act, "turn-fixture-"); ok {
		x := sh.Fixtures[id]
		x.Gone = !x.Gone
		in.Fixture = &x
	} else if act == "machine" {
		in.Machine = &shop.MachineV1{Machine: strings.TrimSpace(f.Get("id")), Type: f.Get("type"), Note: f.Get("note")}
	} else {
		in.Fixture = &shop.FixtureV1{Fixture: strings.TrimSpace(f.Get("id")), Type: f.Get("type"), Note: f.Get("note")}
		if of := f.Get("family"); of != "" {
			in.Fixture.Families = []string{of}
		}
	}
	if _, _, err = s.Bench.Equip(r.Context(), in); err == nil {
		return answer{see: "/machines?stored=yes", cookie: []*http.Cookie{lastPerson(r, person)}}, nil
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
	v := rd.MachinesPage(s.Bench.Library(), sh, rd.ShopStep(sh, "/machines", fresh, person).Back(act, typed, faults))
	return answer{status: http.StatusUnprocessableEntity, write: func(w io.Writer) error { return s.pages.Machines(w, v) }}, nil
}
