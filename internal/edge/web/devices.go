package web

import (
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"fettle/internal/edge/door"
	"fettle/internal/facts/entry"
	"fettle/internal/show/view"
)

// mostEvents is how much of the door's log the owner's page shows.
const mostEvents = 40

func backQuery(to string) string { return url.QueryEscape(to) }

// devices is the owner's page; before there is an owner, the page on which the
// shop gets one.
func (s *site) devices(r *http.Request, rd view.Reader) (answer, error) {
	switch {
	case s.Door == nil:
		return s.free(rd, "/devices"), nil
	case !s.guarded():
		return s.firstPage(r, rd, view.FirstTyped{}, nil, 0)
	}
	if to, err := s.owner(r.Context()); err != nil || to != "" {
		return answer{see: to}, err
	}
	return s.devicesPage(r, rd, view.FirstTyped{}, nil, 0)
}

func (s *site) firstPage(r *http.Request, rd view.Reader, t view.FirstTyped, faults map[string]string, status int) (answer, error) {
	members, err := s.Door.Members(r.Context())
	if err != nil {
		return answer{}, err
	}
	var people []view.Choice
	for _, m := range members {
		people = append(people, view.Choice{Value: m.Person, Text: shownAs(m)})
	}
	v := rd.FirstPage(people, t, faults)
	return answer{status: status, write: func(w io.Writer) error { return s.pages.First(w, v) }}, nil
}

// changeDevices handles every form of the owner's page.
func (s *site) changeDevices(r *http.Request, rd view.Reader) (answer, error) {
	if err := r.ParseForm(); err != nil {
		return answer{}, asInvalid(err)
	}
	f := r.PostForm
	t := view.FirstTyped{Person: f.Get("whom"), Name: f.Get("name"), Initials: f.Get("initials"), Device: f.Get("device")}
	switch {
	case s.Door == nil:
		return s.free(rd, "/devices"), nil
	case f.Get("act") == "first":
		return s.first(r, rd, t)
	case !s.guarded():
		return s.firstPage(r, rd, t, nil, 0)
	}
	if to, err := s.owner(r.Context()); err != nil || to != "" {
		return answer{see: to}, err
	}
	by := visit(r.Context()).Person
	if f.Get("act") == "offer" {
		return s.offer(r, rd, by, t)
	}
	err := s.change(r, by, f)
	if said, status, ok := saidAt(rd, err); ok {
		if f.Get("act") == "pin" {
			said["pin-"+f.Get("whom")] = said["pin"]
			delete(said, "pin")
		}
		if f.Get("act") != "person" {
			t = view.FirstTyped{}
		}
		return s.devicesPage(r, rd, t, said, status)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{see: "/devices?stored=" + f.Get("act")}, nil
}

// change does one thing that the owner asked for.
func (s *site) change(r *http.Request, by string, f url.Values) error {
	ctx := r.Context()
	switch f.Get("act") {
	case "revoke":
		return s.Door.Revoke(ctx, by, f.Get("device"))
	case "person":
		return s.Door.AddPerson(ctx, by, door.NewPerson{Name: f.Get("name"), Initials: f.Get("initials"), Pin: f.Get("pin")})
	case "pin":
		return s.Door.AddPerson(ctx, by, door.NewPerson{Person: f.Get("whom"), Pin: f.Get("pin")})
	case "disable", "enable":
		return s.Door.Disable(ctx, by, f.Get("whom"), f.Get("act") == "disable")
	case "limits":
		idle, err1 := strconv.Atoi(strings.TrimSpace(f.Get("idle")))
		longest, err2 := strconv.Atoi(strings.TrimSpace(f.Get("longest")))
		if err1 != nil {
			idle = 0
		}
		if err2 != nil {
			longest = 0
		}
		return s.Door.SetLimits(ctx, by, idle, longest)
	}
	return nil
}

// first gives the shop its owner.
func (s *site) first(r *http.Request, rd view.Reader, t view.FirstTyped) (answer, error) {
	f := r.PostForm
	p := door.NewPerson{Person: t.Person, Name: t.Name, Initials: t.Initials, Pin: f.Get("pin")}
	c, err := s.Door.SetUp(r.Context(), door.First{NewPerson: p, Code: f.Get("code"), Password: f.Get("password"), Device: t.Device}, s.where(r).Address)
	if said, status, ok := saidAt(rd, err); ok {
		return s.firstPage(r, rd, t, said, status)
	}
	if err != nil {
		return answer{}, err
	}
	return answer{see: "/devices", cookie: []*http.Cookie{cookie(r, deviceCookie, c.Device, deviceLives), cookie(r, sessionCookie, c.Session, sessionLives)}}, nil
}

// offer shows the code with which a device gets its name.
func (s *site) offer(r *http.Request, rd view.Reader, by string, t view.FirstTyped) (answer, error) {
	code, until, err := s.Door.Offer(by, t.Device)
	if said, status, ok := saidAt(rd, err); ok {
		return s.devicesPage(r, rd, t, said, status)
	}
	if err != nil {
		return answer{}, err
	}
	secure := ""
	if s.Trust != nil {
		secure = s.Trust.Secure
	}
	v, err := rd.OfferPage(strings.TrimSpace(t.Device), code, rd.Day(until.UnixMicro()), secure)
	if err != nil {
		return answer{}, err
	}
	return answer{write: func(w io.Writer) error { return s.pages.EnrolCode(w, v) }}, nil
}

func (s *site) devicesPage(r *http.Request, rd view.Reader, t view.FirstTyped, faults map[string]string, status int) (answer, error) {
	ctx := r.Context()
	v := view.Devices{Local: s.Trust == nil, Typed: t}
	if s.Trust != nil {
		v.Served, v.Given = s.Trust.served(), s.Trust.Authority == nil
	}
	names, initials := map[string]string{}, map[string]string{}
	list, err := s.Door.Devices(ctx)
	if err != nil {
		return answer{}, err
	}
	for _, d := range list {
		row := view.DeviceRow{ID: d.Device, Name: d.Name, Enrolled: rd.Day(d.Enrolled), Seen: rd.Day(d.Seen)}
		if d.Revoked != 0 {
			row.Revoked = rd.Day(d.Revoked)
		}
		if here := visit(ctx).Device; here != nil {
			row.This = here.Device == d.Device
		}
		names[d.Device] = d.Name
		v.Devices = append(v.Devices, row)
	}
	members, err := s.Door.Members(ctx)
	if err != nil {
		return answer{}, err
	}
	for _, m := range members {
		initials[m.Person] = m.Initials
		v.People = append(v.People, view.PersonRow{ID: m.Person, Initials: m.Initials, Name: m.Name, Owner: m.Owner, Pin: m.HasPin, Disabled: m.Disabled,
			Outside: !m.HasPin && !m.HasSecret})
	}
	events, err := s.Door.Events(ctx, mostEvents)
	if err != nil {
		return answer{}, err
	}
	for _, e := range events {
		who := e.Person
		if who == "" {
			who = e.By
		}
		if initials[who] != "" {
			who = initials[who]
		}
		name := e.Name
		if name == "" {
			name = names[e.Device]
		}
		row := view.EventRow{When: rd.Day(e.Time), What: rd.T("page.door.event." + strings.ReplaceAll(string(e.Kind), " ", "-")), Who: who, Device: name, Address: e.Address}
		if e.Kind == entry.SignInFailed && e.Unsaid > 0 {
			row.What = rd.T("page.door.event.unsaid", "what", row.What, "n", strconv.FormatInt(e.Unsaid, 10))
		}
		v.Events = append(v.Events, row)
	}
	limits, err := s.Door.Limits(ctx)
	if err != nil {
		return answer{}, err
	}
	v.Idle = strconv.FormatInt(limits.Idle/time.Minute.Microseconds(), 10)
	v.Longest = strconv.FormatInt(limits.Longest/time.Hour.Microseconds(), 10)
	if k := r.URL.Query().Get("stored"); k != "" {
		v.Notice = rd.T("page.me.stored")
	}
	v, err = rd.DevicesPage(v, faults)
	if err != nil {
		return answer{}, err
	}
	return answer{status: status, write: func(w io.Writer) error { return s.pages.Devices(w, v) }}, nil
}
