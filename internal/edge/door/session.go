package door

import (
	"context"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/store"
	"fettle/internal/facts/door"
	"fettle/internal/facts/entry"
)

// What limits are before the owner sets others, and how far they may be set.
const (
	usualIdle    = 5 * time.Minute
	usualLongest = 12 * time.Hour
	mostIdle     = 60 // minutes
	mostLongest  = 24 // hours
)

// Limits says when sessions lock and when they end.
func (d *Door) Limits(ctx context.Context) (store.DoorLimits, error) {
	l, err := d.store.DoorLimits(ctx)
	if missing(err) {
		return store.DoorLimits{Idle: usualIdle.Microseconds(), Longest: usualLongest.Microseconds()}, nil
	}
	return l, err
}

// SetLimits sets them, in minutes and hours.
func (d *Door) SetLimits(ctx context.Context, by string, idle, longest int) error {
	var faults fault.List
	if idle < 1 || idle > mostIdle {
		faults = append(faults, fault.New(fault.Invalid, "door.bad-idle", "most", itoa(mostIdle)).In("idle"))
	}
	if longest < 1 || longest > mostLongest {
		faults = append(faults, fault.New(fault.Invalid, "door.bad-longest", "most", itoa(mostLongest)).In("longest"))
	}
	if err := faults.OrNil(); err != nil {
		return err
	}
	l := store.DoorLimits{Idle: (time.Duration(idle) * time.Minute).Microseconds(), Longest: (time.Duration(longest) * time.Hour).Microseconds()}
	if err := d.store.PutDoorLimits(ctx, l); err != nil {
		return err
	}
	return d.note(ctx, entry.DoorLimits, by, door.EventV1{Idle: int64(idle), Longest: int64(longest)})
}

// Try is one try to come in: with a password, or with a PIN on an enrolled
// device. Without a person a password is the owner's.
type Try struct {
	Where
	Person, Password, Pin string
}

// SignIn lets a person in, or says no. The session gets a new secret; the one
// that the request came with has ended.
//
// Errors: *Wait where it is too early for another try; refused where person,
// secret or device are not right, in one sentence for all.
func (d *Door) SignIn(ctx context.Context, t Try) (secret string, err error) {
	v, err := d.device(ctx, t.Where)
	if err != nil {
		return "", err
	}
	way := "password"
	if t.Password == "" {
		way = "pin"
		if v.Device == nil {
			return "", fault.New(fault.Refused, "door.not-enrolled")
		}
	}
	k, err := d.keeper(ctx, t.Person, way)
	if err != nil {
		return "", err
	}
	about := t.Person
	if k.Person != "" {
		about = k.Person
	}
	place := v.place(t.Address)
	rules := []rule{{about + " at " + place, 2, time.Minute}, {place, 8, time.Minute}}
	if !d.provenAt(about, place) { // whom strangers guess at may come in from his own place
		rules = append(rules, rule{"person " + about, 8, 5 * time.Second})
	}
	if w := d.delays.take(d.clock(), rules); w > 0 {
		return "", waiting(w)
	}
	hash, typed := k.Password, t.Password
	if way == "pin" {
		hash, typed = k.Pin, t.Pin
	}
	ok, err := d.hashes.check(ctx, hash, typed)
	if err != nil {
		d.delays.right(rules[1:])
		return "", err
	}
	event := door.EventV1{Person: k.Person, Address: t.Address, Way: way}
	if v.Device != nil {
		event.Device = v.Device.Device
	}
	if !ok || k.Disabled {
		if err := d.refused(ctx, event); err != nil {
			return "", err
		}
		return "", fault.New(fault.Refused, "door.wrong").In(way)
	}
	d.delays.right(rules)
	d.mu.Lock()
	d.proven[pair{about, place}] = true
	d.mu.Unlock()
	return d.begin(ctx, k.Person, v, way == "password", t.Session, event)
}

func (d *Door) provenAt(person, place string) bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.proven[pair{person, place}]
}

// keeper finds whom a try is for; one that does not exist is empty, so that the
// answer takes as long as for one that does.
func (d *Door) keeper(ctx context.Context, person, way string) (store.Keeper, error) {
	list, err := d.store.Keepers(ctx)
	if err != nil {
		return store.Keeper{}, err
	}
	for _, k := range list {
		if k.Person == person || person == "" && way == "password" && k.Owner {
			return k, nil
		}
	}
	return store.Keeper{}, nil
}

// begin writes the new session and says so in the log.
func (d *Door) begin(ctx context.Context, person string, v Visit, strong bool, old string, event door.EventV1) (string, error) {
	secret, err := d.secret()
	if err != nil {
		return "", err
	}
	now := d.clock().UnixMicro()
	s := store.Session{Ref: digest(secret), Person: person, Strong: strong, Begun: now, Used: now}
	if v.Device != nil {
		s.Device = v.Device.Device
		if err := d.store.SeeDevice(ctx, s.Device, now); err != nil {
			return "", err
		}
	}
	limits, err := d.Limits(ctx)
	if err != nil {
		return "", err
	}
	if err := d.store.EndSessionsBefore(ctx, now-limits.Longest); err != nil {
		return "", err
	}
	if err := d.note(ctx, entry.SignedIn, person, event); err != nil {
		return "", err
	}
	// The person may have been disabled, or the device revoked, since the secret
	// was looked at: the store then writes no session.
	if err := d.store.BeginSession(ctx, s, digest(old)); err != nil {
		if missing(err) {
			return "", fault.New(fault.Refused, "door.wrong").In("pin")
		}
		return "", err
	}
	return secret, nil
}

// SignOut ends the session of a request.
func (d *Door) SignOut(ctx context.Context, w Where) error {
	v, err := d.Look(ctx, w, false)
	if err != nil || v.Session == nil {
		return err
	}
	if err := d.store.EndSession(ctx, v.Session.Ref); err != nil {
		return err
	}
	return d.note(ctx, entry.SignedOut, v.Person, door.EventV1{Person: v.Person, Device: v.Session.Device, Address: w.Address})
}

// Lock locks the session of a request by hand.
func (d *Door) Lock(ctx context.Context, w Where) error {
	v, err := d.Look(ctx, w, false)
	if err != nil || !v.In() {
		return err
	}
	return d.lock(ctx, *v.Session, w.Address)
}

func (d *Door) lock(ctx context.Context, s store.Session, address string) error {
	first, err := d.store.LockSession(ctx, s.Ref)
	if err != nil || !first {
		return err
	}
	return d.note(ctx, entry.Locked, s.Person, door.EventV1{Person: s.Person, Device: s.Device, Address: address})
}
