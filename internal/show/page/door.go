package page

import (
	"io"

	"fettle/internal/show/view"
)

// First writes the page on which the shop gets its owner.
func (p *Pages) First(w io.Writer, v view.First) error { return p.write(w, v.Lang, "first", v) }

// SignIn writes the page on which a person comes in.
func (p *Pages) SignIn(w io.Writer, v view.SignIn) error { return p.write(w, v.Lang, "signin", v) }

// Lock writes the page before a locked session.
func (p *Pages) Lock(w io.Writer, v view.Lock) error { return p.write(w, v.Lang, "lock", v) }

// Enrol writes the page on which a device gives its code.
func (p *Pages) Enrol(w io.Writer, v view.Enrol) error { return p.write(w, v.Lang, "enrol", v) }

// NoDoor writes the page that says that nobody has to sign in.
func (p *Pages) NoDoor(w io.Writer, v view.Door) error { return p.write(w, v.Lang, "nodoor", v) }

// Me writes the page of the person who is signed in.
func (p *Pages) Me(w io.Writer, v view.Me) error { return p.write(w, v.Lang, "me", v) }

// Trust writes the page that says how to trust the shop's authority.
func (p *Pages) Trust(w io.Writer, v view.Trust) error { return p.write(w, v.Lang, "trust", v) }

// Devices writes the owner's page.
func (p *Pages) Devices(w io.Writer, v view.Devices) error { return p.write(w, v.Lang, "devices", v) }

// EnrolCode writes the page with a new device's code.
func (p *Pages) EnrolCode(w io.Writer, v view.Offer) error { return p.write(w, v.Lang, "enrolcode", v) }
