package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"sort"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/edge/door"
	"fettle/internal/show/view"
)

// Trust is how the site is served beyond its own machine.
type Trust struct {
	Authority   []byte // of the shop, PEM; nil where a certificate was given
	Fingerprint string
	Secure      string // https address, ending in a slash
	Plain       string // address of the plain port; "" where there is none
}

func (t *Trust) served() view.Served {
	return view.Served{Plain: t.Plain, Secure: t.Secure, Fingerprint: t.Fingerprint}
}

func sortFacts(list []view.Fact) {
	sort.SliceStable(list, func(i, k int) bool { return list[i].Name < list[k].Name })
}

// shownAs is how a member is shown where people are chosen.
func shownAs(m door.Member) string {
	if m.Name == "" || m.Name == m.Initials {
		return m.Initials
	}
	return m.Name + " · " + m.Initials
}

// doorPage is the page that stands before who is not in: the lock of a locked
// session, or the sign-in.
func (s *site) doorPage(r *http.Request, rd view.Reader, v door.Visit, d view.Door, password bool) (answer, error) {
	members, err := s.Door.Members(r.Context())
	if err != nil {
		return answer{}, err
	}
	name := ""
	if v.Device != nil {
		name = v.Device.Name
	}
	if v.Locked() && !password {
		who := v.Person
		for _, m := range members {
			if m.Person == v.Person {
				who = shownAs(m)
			}
		}
		p := rd.LockPage(who, name, v.HasPin && v.Device != nil)
		p.Back, p.Acts, p.Carry, p.Faults, p.Tell = d.Back, d.Acts, d.Carry, d.Faults, d.Tell
		return answer{write: func(w io.Writer) error { return s.pages.Lock(w, p) }}, nil
	}
	var people []view.Choice
	if v.Device != nil {
		for _, m := range members {
			if m.HasPin && !m.Disabled {
				people = append(people, view.Choice{Value: m.Person, Text: shownAs(m), Chosen: m.Person == r.PostForm.Get("whom")})
			}
		}
	}
	p := rd.SignInPage(name, people, password)
	if v.Gone != door.NotGone {
		d.Tell = append(d.Tell, rd.T("page.door.why."+why(v)))
	}
	p.Back, p.Acts, p.Carry, p.Faults, p.Tell = d.Back, d.Acts, d.Carry, d.Faults, d.Tell
	return answer{write: func(w io.Writer) error { return s.pages.SignIn(w, p) }}, nil
}

// typedBehind is what a form at the door carries besides its secret.
func typedBehind(r *http.Request) view.Door {
	d := view.Door{Back: "/"}
	if b := r.Form.Get("back"); ours(b) {
		d.Back = b
	}
	if a := r.PostForm.Get("acts"); ours(a) {
		d.Acts = a
		for name, values := range r.PostForm {
			if len(name) > 6 && name[:6] == "carry." {
				for _, x := range values {
					d.Carry = append(d.Carry, view.Fact{Name: name[6:], Value: x})
				}
			}
		}
		sortFacts(d.Carry)
	}
	return d
}

// free answers at the door's addresses where nobody has to sign in.
func (s *site) free(rd view.Reader, path string) answer {
	v := rd.NoDoor(path)
	return answer{write: func(w io.Writer) error { return s.pages.NoDoor(w, v) }}
}

func (s *site) signInForm(r *http.Request, rd view.Reader) (answer, error) {
	if !s.guarded() {
		return s.free(rd, "/sign-in"), nil
	}
	if err := r.ParseForm(); err != nil {
		return answer{}, asInvalid(err)
	}
	v := visit(r.Context())
	d := typedBehind(r)
	if v.In() && r.Form.Get("with") != "password" {
		return answer{see: d.Back}, nil
	}
	return s.doorPage(r, rd, stranger(v), d, r.Form.Get("with") == "password")
}

// stranger is a visit without its session, for the page on which anybody may
// come in.
func stranger(v door.Visit) door.Visit { return door.Visit{Device: v.Device, Gone: v.Gone} }

func (s *site) lockForm(r *http.Request, rd view.Reader) (answer, error) {
	if !s.guarded() {
		return s.free(rd, "/lock"), nil
	}
	if err := r.ParseForm(); err != nil {
		return answer{}, asInvalid(err)
	}
	v := visit(r.Context())
	d := typedBehind(r)
	if v.In() {
		return answer{see: d.Back}, nil
	}
	return s.doorPage(r, rd, v, d, false)
}

// comeIn handles the forms of sign-in and lock. It stands beside page(), for a
// form that waited is answered by its own page.
func (s *site) comeIn(w http.ResponseWriter, r *http.Request) {
	rd := s.reader(r)
	if !s.guarded() {
		s.send(w, r, rd, s.free(rd, r.URL.Path))
		return
	}
	if err := r.ParseForm(); err != nil {
		s.fault(w, r, rd, asInvalid(err))
		return
	}
	v, at, d := visit(r.Context()), s.where(r), typedBehind(r)
	f := r.PostForm
	if r.URL.Path == "/lock" {
		if act := f.Get("act"); act != "open" && act != "" {
			s.leave(w, r, rd, act, at)
			return
		}
	}
	t := door.Try{Where: at, Person: f.Get("whom"), Pin: f.Get("pin"), Password: f.Get("password")}
	if r.URL.Path == "/lock" {
		t.Person = v.Person
	}
	secret, err := s.Door.SignIn(r.Context(), t)
	if err != nil {
		s.notIn(w, r, rd, v, d, err)
		return
	}
	http.SetCookie(w, cookie(r, sessionCookie, secret, sessionLives))
	if at.Device != "" && v.Device != nil {
		http.SetCookie(w, cookie(r, deviceCookie, at.Device, deviceLives))
	}
	if d.Acts == "" {
		w.Header().Set("Cache-Control", "no-store")
		http.Redirect(w, r, d.Back, http.StatusSeeOther)
		return
	}
	at.Session = secret
	if v, err = s.Door.Look(r.Context(), at, true); err != nil || !v.In() {
		s.fault(w, r, rd, errors.Join(err, fault.New(fault.Refused, "door.signed-out")))
		return
	}
	s.act(w, r, v)
}

// notIn shows the page again with what was wrong; what waits behind it stays.
func (s *site) notIn(w http.ResponseWriter, r *http.Request, rd view.Reader, v door.Visit, d view.Door, err error) {
	d.Faults = map[string]string{}
	status := http.StatusForbidden
	var early *door.Wait
	var f *fault.Fault
	switch {
	case errors.As(err, &early):
		status = http.StatusTooManyRequests
		w.Header().Set("Retry-After", strconv.Itoa(int(early.For.Seconds())))
		d.Faults[""] = rd.Book.Fault(early.Fault)
	case errors.As(err, &f) && f.Code == fault.Refused:
		if f.Key == "door.busy" {
			status = http.StatusServiceUnavailable
			w.Header().Set("Retry-After", "3")
		}
		d.Faults[f.Path] = rd.Book.Fault(f)
	default:
		s.fault(w, r, rd, err)
		return
	}
	if r.URL.Path == "/sign-in" {
		v = stranger(v)
	}
	a, err := s.doorPage(r, rd, v, d, r.URL.Path == "/sign-in" && r.PostForm.Get("with") == "password")
	if err != nil {
		s.fault(w, r, rd, err)
		return
	}
	a.status = status
	s.send(w, r, rd, a)
}

// leave locks a session by hand, or ends it.
func (s *site) leave(w http.ResponseWriter, r *http.Request, rd view.Reader, act string, at door.Where) {
	to, err := "/sign-in", error(nil)
	if act == "now" {
		to, err = "/lock?back="+backQuery(backTo(r)), s.Door.Lock(r.Context(), at)
	} else {
		err = s.Door.SignOut(r.Context(), at)
		http.SetCookie(w, cookie(r, sessionCookie, "", -1))
	}
	if err != nil {
		s.fault(w, r, rd, err)
		return
	}
	w.Header().Set("Cache-Control", "no-store")
	http.Redirect(w, r, to, http.StatusSeeOther)
}

func (s *site) enrolForm(r *http.Request, rd view.Reader) (answer, error) {
	if !s.guarded() {
		return s.free(rd, "/enrol"), nil
	}
	return s.enrolPage(r, rd, r.URL.Query().Get("code"), nil, 0)
}

func (s *site) enrolPage(r *http.Request, rd view.Reader, code string, faults map[string]string, status int) (answer, error) {
	v := rd.EnrolPage(clip(code), faults)
	if d := visit(r.Context()).Device; d != nil {
		v.Tell = []string{rd.T("page.enrol.again", "name", d.Name)}
	}
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Enrol(w, v) }}, nil
}

// enrol makes the device that gives a code one of the shop's.
func (s *site) enrol(r *http.Request, rd view.Reader) (answer, error) {
	if !s.guarded() {
		return s.free(rd, "/enrol"), nil
	}
	if err := r.ParseForm(); err != nil {
		return answer{}, asInvalid(err)
	}
	code := r.PostForm.Get("code")
	_, secret, err := s.Door.Enrol(r.Context(), code, s.where(r).Address)
	if said, status, ok := saidAt(rd, err); ok {
		return s.enrolPage(r, rd, code, said, status)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{see: "/sign-in", cookie: []*http.Cookie{cookie(r, deviceCookie, secret, deviceLives), cookie(r, sessionCookie, "", -1)}}, nil
}

// saidAt gives the sentences of what a person can mend, by field.
func saidAt(rd view.Reader, err error) (map[string]string, int, bool) {
	said := map[string]string{}
	var early *door.Wait
	var list fault.List
	switch {
	case errors.As(err, &early):
		said[""] = rd.Book.Fault(early.Fault)
		return said, http.StatusTooManyRequests, true
	case errors.As(err, &list):
		for _, f := range list {
			said[f.Path] = rd.Book.Fault(f)
		}
		return said, http.StatusUnprocessableEntity, true
	}
	return nil, 0, false
}

func (s *site) meForm(r *http.Request, rd view.Reader) (answer, error) {
	if !s.guarded() {
		return s.free(rd, "/me"), nil
	}
	return s.mePage(r, rd, nil, 0)
}

func (s *site) mePage(r *http.Request, rd view.Reader, faults map[string]string, status int) (answer, error) {
	v := visit(r.Context())
	p := rd.MePage(v.HasPin, v.Owner, faults)
	if r.URL.Query().Get("stored") != "" {
		p.Notice = rd.T("page.me.stored")
	}
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Me(w, p) }}, nil
}

// me changes a person's own PIN or password.
func (s *site) me(r *http.Request, rd view.Reader) (answer, error) {
	if !s.guarded() {
		return s.free(rd, "/me"), nil
	}
	f := r.PostForm
	pin, password := f.Get("pin"), f.Get("password")
	if f.Get("act") == "pin" {
		password = ""
	}
	err := s.Door.ChangeOwn(r.Context(), s.where(r), f.Get("old"), pin, password)
	if said, status, ok := saidAt(rd, err); ok {
		return s.mePage(r, rd, said, status)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{see: "/me?stored=" + f.Get("act")}, nil
}

func (s *site) trust(_ *http.Request, rd view.Reader) (answer, error) {
	if s.Trust == nil || s.Trust.Authority == nil {
		return answer{}, fault.New(fault.Missing, "page.trust.none")
	}
	v, err := rd.TrustPage(s.Trust.served(), false)
	if err != nil {
		return answer{}, err
	}
	return answer{write: func(w io.Writer) error { return s.pages.Trust(w, v) }}, nil
}

func (s *site) authority(*http.Request, view.Reader) (answer, error) {
	if s.Trust == nil || s.Trust.Authority == nil {
		return answer{}, fault.New(fault.Missing, "page.trust.none")
	}
	return authorityFile(s.Trust), nil
}

// authorityFile is the authority as devices take it.
func authorityFile(t *Trust) answer {
	return answer{kind: "application/x-x509-ca-cert", name: "fettle-authority.crt", save: true,
		write: func(w io.Writer) error { _, err := w.Write(t.Authority); return err }}
}

// owner lets only the owner on, signed in by password.
func (s *site) owner(ctx context.Context) (to string, err error) {
	v := visit(ctx)
	switch {
	case !v.Owner:
		return "", fault.New(fault.Refused, "door.owners-only")
	case !v.Session.Strong:
		return "/sign-in?with=password&back=%2Fdevices", nil
	}
	return "", nil
}
