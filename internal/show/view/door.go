package view

import (
	"fettle/internal/show/plot"
)

// Door is what the pages at the door share: where to go once a person is in,
// what was typed behind the lock, and what was wrong.
type Door struct {
	Frame
	Back   string // address to see afterwards
	Acts   string // address of the form that waits behind the lock; "" where none does
	Carry  []Fact // its fields
	Faults map[string]string
	Tell   []string // sentences about this device or session
}

// door begins a page at the door: without the shop's pages, which lie behind it.
func (r Reader) door(heading, under, path string) Door {
	f := r.frame(heading, path)
	f.Under, f.Top = under, nil
	return Door{Frame: f}
}

// FirstTyped is what was typed on the first page; secrets are typed again.
type FirstTyped struct{ Person, Name, Initials, Device string }

// First is the page on which the shop gets its owner.
type First struct {
	Door
	Typed  FirstTyped
	People []Choice // of the shop's log, to be chosen from; none where it knows nobody
}

// FirstPage makes the page. people are ids and initials.
func (r Reader) FirstPage(people []Choice, t FirstTyped, faults map[string]string) First {
	v := First{Door: r.door(r.T("page.first.title"), r.T("page.first.under"), "/devices"), Typed: t}
	v.Faults = faults
	v.Top = r.frame("", "/devices").Top
	if len(people) > 0 {
		v.People = []Choice{{"", r.T("page.first.new"), t.Person == ""}}
		for _, p := range people {
			v.People = append(v.People, Choice{p.Value, p.Text, p.Value == t.Person})
		}
	}
	return v
}

// SignIn is the page on which a person comes in.
type SignIn struct {
	Door
	Device   string   // name of the enrolled device; "" where it is not
	People   []Choice // who may come in here by PIN
	Password bool     // the owner's password is asked for first
}

// SignInPage makes the page.
func (r Reader) SignInPage(device string, people []Choice, password bool) SignIn {
	under := r.T("page.sign-in.stranger")
	if device != "" {
		under = r.T("page.sign-in.device", "device", device)
	}
	return SignIn{Door: r.door(r.T("page.sign-in.title"), under, "/sign-in"), Device: device, People: people, Password: password || device == ""}
}

// Lock is the page before a locked session.
type Lock struct {
	Door
	Name string
	Pin  bool // opened by PIN; otherwise by password
}

// LockPage makes the page.
func (r Reader) LockPage(name, device string, pin bool) Lock {
	under := ""
	if device != "" {
		under = r.T("page.sign-in.device", "device", device)
	}
	return Lock{Door: r.door(r.T("page.lock.title", "name", name), under, "/lock"), Name: name, Pin: pin}
}

// Enrol is the page on which a device gives its code.
type Enrol struct {
	Door
	Code string
}

// EnrolPage makes the page.
func (r Reader) EnrolPage(code string, faults map[string]string) Enrol {
	v := Enrol{Door: r.door(r.T("page.enrol.title"), r.T("page.enrol.under"), "/enrol"), Code: code}
	v.Faults = faults
	return v
}

// NoDoor says that nobody has to sign in.
func (r Reader) NoDoor(path string) Door {
	v := r.door(r.T("page.no-door.title"), "", path)
	v.Top = r.frame("", path).Top
	return v
}

// Me is the page of the person who is signed in.
type Me struct {
	Door
	Pin, Password bool
}

// MePage makes the page.
func (r Reader) MePage(pin, password bool, faults map[string]string) Me {
	v := Me{Door: r.door(r.T("page.me.title", "name", r.Signed), r.T("page.me.under"), "/me"), Pin: pin, Password: password}
	v.Top, v.Faults = r.frame("", "/me").Top, faults
	return v
}

// Trust is the page that says how a device comes to trust the shop's authority.
type Trust struct {
	Door
	Plain       bool // on the plain port: no cookies, no pages beside it
	Secure      string
	File        string
	Fingerprint []string // in groups
	Code        Drawing  // of the address to begin at
	Address     string
	Kinds       []TrustSteps
	Other       []Link // the same page in another language
}

// TrustSteps are the steps on one kind of device.
type TrustSteps struct {
	ID, Name string
	Steps    []string
}

// Served is how a site can be reached.
type Served struct{ Plain, Secure, Fingerprint string }

// TrustPage makes the page; plain says that it is served on the plain port.
func (r Reader) TrustPage(s Served, plain bool) (Trust, error) {
	v := Trust{Door: r.door(r.T("page.trust.title"), r.T("page.trust.under"), "/trust"), Plain: plain, Secure: s.Secure, Address: s.Plain}
	v.File = "/authority.crt"
	if !plain {
		v.Top = r.frame("", "/trust").Top
	}
	v.Bare = plain
	if plain {
		for _, l := range []string{"en", "de"} {
			v.Other = append(v.Other, Link{"/?lang=" + l, r.T("page.reader.lang." + l), l == r.Lang})
		}
	}
	f := s.Fingerprint
	for i := 0; i < len(f); i += 24 { // eight pairs a group
		v.Fingerprint = append(v.Fingerprint, f[i:min(i+23, len(f))])
	}
	for _, k := range []struct {
		id string
		n  int
	}{{"android", 4}, {"ios", 4}, {"windows", 3}, {"macos", 3}, {"linux", 3}, {"own-store", 2}} {
		t := TrustSteps{ID: k.id, Name: r.T("page.trust." + k.id)}
		for i := range k.n {
			t.Steps = append(t.Steps, r.T("page.trust."+k.id+"."+r.Int(i+1)))
		}
		v.Kinds = append(v.Kinds, t)
	}
	var err error
	if s.Plain != "" {
		v.Code, err = code(s.Plain, 200)
	}
	return v, err
}

// code draws a text as a QR code that says its text.
func code(text string, size float64) (Drawing, error) {
	c, err := plot.QR(text, plot.LevelM)
	if err != nil {
		return "", err
	}
	s := plot.NewSVG(size, size, text)
	c.Draw(s, plot.Pt(0, 0), size)
	return Drawing(s.String()), nil
}

// DeviceRow is one device in the owner's list.
type DeviceRow struct {
	ID, Name, Enrolled, Seen string
	Revoked                  string // when; "" while it may be used
	This                     bool
}

// PersonRow is one person in the owner's list.
type PersonRow struct {
	ID, Initials, Name            string
	Owner, Pin, Disabled, Outside bool // Outside: known to the shop, without a PIN
}

// EventRow is one line of what happened at the door.
type EventRow struct{ When, What, Who, Device, Address string }

// Devices is the owner's page: how to connect a tablet, and who may come in.
type Devices struct {
	Door
	Served
	Local         bool // the site does not listen beyond its machine
	Given         bool // a certificate was given, so there is no authority to trust
	Code          Drawing
	Devices       []DeviceRow
	People        []PersonRow
	Events        []EventRow
	Idle, Longest string
	Typed         FirstTyped
}

// DevicesPage makes the page of its rows.
func (r Reader) DevicesPage(v Devices, faults map[string]string) (Devices, error) {
	was := v
	v.Door = r.door(r.T("page.devices.title"), r.T("page.devices.under"), "/devices")
	v.Top = r.frame("", "/devices").Top
	v.Faults, v.Notice = faults, was.Notice
	var err error
	if v.Plain != "" {
		v.Code, err = code(v.Plain, 180)
	}
	return v, err
}

// Offer is the page with a new device's code.
type Offer struct {
	Door
	Name, Letters, Until, Address string
	Code                          Drawing
}

// OfferPage makes the page; secure is the address of the site, "" where it does
// not listen beyond its machine.
func (r Reader) OfferPage(name, letters, until, secure string) (Offer, error) {
	v := Offer{Door: r.door(r.T("page.offer.title", "name", name), "", "/devices"), Name: name, Letters: letters, Until: until}
	v.Top = r.frame("", "/devices").Top
	var err error
	if secure != "" {
		v.Address = secure + "enrol"
		v.Code, err = code(v.Address+"?code="+letters, 220)
	}
	return v, err
}
