package door

import (
	"context"
	"encoding/hex"
	"io"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"fettle/internal/base/fault"
	"fettle/internal/edge/store"
	"fettle/internal/facts/door"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
)

// Member is a person of the shop as the door knows them.
type Member struct {
	Person, Initials, Name   string
	Owner, HasPin, HasSecret bool // HasSecret: a password
	Disabled                 bool
}

// Members lists everybody of the shop's log by initials.
func (d *Door) Members(ctx context.Context) ([]Member, error) {
	sh, err := d.bench.Shop(ctx)
	if err != nil {
		return nil, err
	}
	list, err := d.store.Keepers(ctx)
	if err != nil {
		return nil, err
	}
	known := map[string]store.Keeper{}
	for _, k := range list {
		known[k.Person] = k
	}
	var out []Member
	for id, p := range sh.People {
		k := known[id]
		m := Member{Person: id, Initials: p.Initials, Owner: k.Owner, HasPin: k.Pin != "", HasSecret: k.Password != "", Disabled: k.Disabled}
		if f, err := d.store.Person(id); err == nil {
			m.Name = f.Name
		}
		out = append(out, m)
	}
	sort.Slice(out, func(i, k int) bool {
		if out[i].Initials != out[k].Initials {
			return out[i].Initials < out[k].Initials
		}
		return out[i].Person < out[k].Person
	})
	return out, nil
}

// NewPerson is a person to be made known, or one who is, by id.
type NewPerson struct{ Person, Name, Initials, Pin string }

// check says what is wrong with a person; id and file are as in the shop's log.
func (d *Door) checkPerson(sh *shop.State, p *NewPerson) fault.List {
	var faults fault.List
	p.Name, p.Initials = strings.TrimSpace(p.Name), strings.TrimSpace(p.Initials)
	if p.Person != "" {
		if _, ok := sh.People[p.Person]; !ok {
			faults = append(faults, fault.New(fault.Missing, "door.no-person", "found", p.Person).In("person"))
		}
		return faults
	}
	if !worded(p.Name, 80) {
		faults = append(faults, fault.New(fault.Invalid, "door.no-name", "most", "80").In("name"))
	}
	if p.Initials == "" {
		p.Initials = initials(p.Name)
	}
	if !worded(p.Initials, 8) {
		faults = append(faults, fault.New(fault.Invalid, "door.no-initials", "most", "8").In("initials"))
	}
	for _, o := range sh.People {
		if strings.EqualFold(o.Initials, p.Initials) && p.Initials != "" {
			faults = append(faults, fault.New(fault.Conflict, "door.initials-taken", "found", p.Initials).In("initials"))
			break
		}
	}
	return faults
}

// worded accepts one line of words.
func worded(s string, most int) bool {
	for _, r := range s {
		if unicode.IsControl(r) || r == utf8.RuneError {
			return false
		}
	}
	return s != "" && utf8.RuneCountInString(s) <= most
}

// initials are the first letters of a name.
func initials(name string) string {
	var out []rune
	for _, w := range strings.Fields(name) {
		r, _ := utf8.DecodeRuneInString(w)
		out = append(out, unicode.ToUpper(r))
	}
	return string(out[:min(len(out), 8)])
}

// know makes a person known to the shop's log and keeps the name beside it.
func (d *Door) know(ctx context.Context, sh *shop.State, p NewPerson, by, role string) (string, error) {
	if p.Person != "" {
		return p.Person, nil
	}
	id := ""
	for b := make([]byte, 3); id == "" || sh.People[id] != (shop.PersonV1{}); id = "p-" + hex.EncodeToString(b) {
		if _, err := io.ReadFull(d.random, b); err != nil {
			return "", fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
		}
	}
	if err := d.store.PutPerson(id, store.Person{Name: p.Name}); err != nil {
		return "", err
	}
	key, err := d.key()
	if err != nil {
		return "", err
	}
	if by == "" {
		by = id
	}
	e, err := entry.New(entry.ShopStream, key, entry.PersonKnown, by, "door", d.clock().UnixMicro(), shop.PersonV1{Person: id, Initials: p.Initials, Role: role})
	if err != nil {
		return "", err
	}
	return id, d.bench.AppendShop(ctx, []entry.Entry{e})
}

// First is what the first page asks for.
type First struct {
	NewPerson
	Code, Password, Device string
}

// Came is what a browser gets that was let in: what its cookies are to hold.
type Came struct{ Device, Session string }

// SetUp gives the shop its owner: a person of its log, a password, a PIN, and
// the browser this is done in as its first device.
//
// Errors: *Wait; a list of what is wrong, each with its field; conflict where
// there is an owner.
func (d *Door) SetUp(ctx context.Context, f First, address string) (Came, error) {
	d.settle.Lock()
	defer d.settle.Unlock()
	if d.Owned() {
		return Came{}, fault.New(fault.Conflict, "store.owner-there")
	}
	rules := []rule{{"setup at " + network(address), 4, time60}, {"setup", 12, time5}}
	if w := d.delays.take(d.clock(), rules); w > 0 {
		return Came{}, waiting(w)
	}
	d.mu.Lock()
	right := d.setup != [32]byte{} && d.setup == codeDigest(f.Code)
	d.mu.Unlock()
	if !right {
		if err := d.refused(ctx, door.EventV1{Address: address, Way: "code"}); err != nil {
			return Came{}, err
		}
		return Came{}, fault.List{fault.New(fault.Refused, "door.bad-setup-code").In("code")}
	}
	d.delays.right(rules)
	sh, err := d.bench.Shop(ctx)
	if err != nil {
		return Came{}, err
	}
	faults := d.checkPerson(sh, &f.NewPerson)
	if x := passwordFault(f.Password, f.Name, strings.ReplaceAll(f.Name, " ", ""), "fettle"); x != nil {
		faults = append(faults, x)
	}
	if x := pinFault(f.Pin); x != nil {
		faults = append(faults, x)
	}
	if f.Device = strings.TrimSpace(f.Device); !worded(f.Device, 40) {
		faults = append(faults, fault.New(fault.Invalid, "door.no-device-name", "most", "40").In("device"))
	}
	if err := faults.OrNil(); err != nil {
		return Came{}, err
	}
	k := store.Keeper{Owner: true}
	if k.Password, err = d.hashes.make(ctx, f.Password); err != nil {
		return Came{}, err
	}
	if k.Pin, err = d.hashes.make(ctx, f.Pin); err != nil {
		return Came{}, err
	}
	if k.Person, err = d.know(ctx, sh, f.NewPerson, "", "owner"); err != nil {
		return Came{}, err
	}
	dev, cookie, err := d.newDevice(f.Device)
	if err != nil {
		return Came{}, err
	}
	if err := d.store.PutOwner(ctx, k, dev); err != nil {
		return Came{}, err
	}
	d.owned.Store(true)
	d.mu.Lock()
	d.setup = [32]byte{}
	d.mu.Unlock()
	if err := d.note(ctx, entry.OwnerSetUp, k.Person, door.EventV1{Person: k.Person, Device: dev.Device, Name: dev.Name, Address: address}); err != nil {
		return Came{}, err
	}
	s, err := d.begin(ctx, k.Person, Visit{Device: &dev}, true, "", door.EventV1{Person: k.Person, Device: dev.Device, Address: address, Way: "password"})
	return Came{cookie, s}, err
}

// AddPerson lets a person in by PIN: one who is known by id, or somebody new.
func (d *Door) AddPerson(ctx context.Context, by string, p NewPerson) error {
	d.settle.Lock()
	defer d.settle.Unlock()
	sh, err := d.bench.Shop(ctx)
	if err != nil {
		return err
	}
	faults := d.checkPerson(sh, &p)
	if x := pinFault(p.Pin); x != nil {
		faults = append(faults, x)
	}
	if err := faults.OrNil(); err != nil {
		return err
	}
	hash, err := d.hashes.make(ctx, p.Pin)
	if err != nil {
		return err
	}
	id, err := d.know(ctx, sh, p, by, "")
	if err != nil {
		return err
	}
	return d.setSecret(ctx, by, id, "pin", hash, [32]byte{})
}

// setSecret gives a person another secret; every session of theirs ends but one.
func (d *Door) setSecret(ctx context.Context, by, person, way, hash string, keep [32]byte) error {
	k, err := d.store.Keeper(ctx, person)
	if err != nil && !missing(err) {
		return err
	}
	k.Person = person
	if way == "pin" {
		k.Pin = hash
	} else {
		k.Password = hash
	}
	if err := d.store.PutKeeper(ctx, k, keep); err != nil {
		return err
	}
	return d.note(ctx, entry.SecretSet, by, door.EventV1{Person: person, Way: way})
}

// ChangeOwn changes a person's own PIN, or the owner's own password; the old one
// is asked for and guessed at no faster than at the door.
func (d *Door) ChangeOwn(ctx context.Context, w Where, old, pin, password string) error {
	v, err := d.Look(ctx, w, true)
	if err != nil {
		return err
	}
	if !v.In() {
		return fault.New(fault.Refused, "door.signed-out")
	}
	d.settle.Lock()
	defer d.settle.Unlock()
	k, err := d.store.Keeper(ctx, v.Person)
	if err != nil {
		return err
	}
	way, was, fresh, bad := "pin", k.Pin, pin, pinFault(pin)
	if password != "" {
		way, was, fresh, bad = "password", k.Password, password, passwordFault(password, "fettle")
	}
	rules := []rule{{v.Person + " at " + v.place(w.Address), 2, time60}}
	if wait := d.delays.take(d.clock(), rules); wait > 0 {
		return waiting(wait)
	}
	ok, err := d.hashes.check(ctx, was, old)
	if err != nil {
		return err
	}
	if !ok || was == "" {
		if err := d.refused(ctx, door.EventV1{Person: v.Person, Device: v.Session.Device, Address: w.Address, Way: way}); err != nil {
			return err
		}
		return fault.List{fault.New(fault.Refused, "door.wrong").In("old-" + way)}
	}
	d.delays.right(rules)
	if bad != nil {
		return fault.List{bad}
	}
	hash, err := d.hashes.make(ctx, fresh)
	if err != nil {
		return err
	}
	return d.setSecret(ctx, v.Person, v.Person, way, hash, v.Session.Ref)
}

// Disable keeps a person out from now on and ends their sessions; Enable lets
// them in again. The owner cannot be kept out.
func (d *Door) Disable(ctx context.Context, by, person string, out bool) error {
	d.settle.Lock()
	defer d.settle.Unlock()
	k, err := d.store.Keeper(ctx, person)
	if missing(err) {
		return fault.New(fault.Missing, "door.no-person", "found", person)
	}
	if err != nil {
		return err
	}
	if k.Owner {
		return fault.New(fault.Refused, "door.owner-stays")
	}
	k.Disabled = out
	if err := d.store.PutKeeper(ctx, k, [32]byte{}); err != nil {
		return err
	}
	kind := entry.PersonEnabled
	if out {
		kind = entry.PersonDisabled
	}
	return d.note(ctx, kind, by, door.EventV1{Person: person})
}
