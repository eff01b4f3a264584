// Package door says who may come in: the owner, the people at the benches, the
// devices that were enrolled, and the sessions between them. Its state stands
// beside the log; what happens at it is the log's door stream. It speaks no
// HTTP.
package door

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"io"
	"sync"
	"sync/atomic"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
)

// Door is the door of one workshop. It may be used from everywhere at once.
type Door struct {
	store  *store.Store
	bench  *bench.Bench
	clock  func() time.Time
	random io.Reader
	owned  atomic.Bool
	hashes hashing
	delays delays

	mu     sync.Mutex // guards the rest
	setup  [32]byte   // digest of the setup code; zero where there is none
	offers map[[32]byte]offer
	proven map[pair]bool
	unsaid unsaid

	settle sync.Mutex // held by whoever changes who may come in
}

// pair is a person at a place from which that person has come in before.
type pair struct{ person, place string }

// Config is what a door needs.
type Config struct {
	Store  *store.Store
	Bench  *bench.Bench
	Clock  func() time.Time
	Random io.Reader // nil is the system's
}

// New makes the door of a store.
func New(ctx context.Context, c Config) (*Door, error) {
	if c.Random == nil {
		c.Random = rand.Reader
	}
	d := &Door{store: c.Store, bench: c.Bench, clock: c.Clock, random: c.Random, hashes: newHashing(c.Random),
		offers: map[[32]byte]offer{}, proven: map[pair]bool{}}
	list, err := c.Store.Keepers(ctx)
	if err != nil {
		return nil, err
	}
	for _, k := range list {
		if k.Owner {
			d.owned.Store(true)
		}
	}
	return d, nil
}

// Owned says whether the shop has an owner. Before, nobody signs in, and the
// site stays on its own machine.
func (d *Door) Owned() bool { return d.owned.Load() }

// Ready says in one sentence what is missing before the site may be reached
// from beyond its own machine; nil where nothing is.
func (d *Door) Ready(ctx context.Context) error {
	people, err := d.store.Keepers(ctx)
	if err != nil {
		return err
	}
	devices, err := d.store.Devices(ctx)
	if err != nil {
		return err
	}
	var owner, pin, device bool
	for _, k := range people {
		owner = owner || k.Owner && k.Password != "" && !k.Disabled
		pin = pin || k.Pin != "" && !k.Disabled
	}
	for _, v := range devices {
		device = device || v.Revoked == 0
	}
	switch {
	case !owner:
		return fault.New(fault.Refused, "door.no-owner")
	case !device:
		return fault.New(fault.Refused, "door.no-device")
	case !pin:
		return fault.New(fault.Refused, "door.no-pin")
	}
	return nil
}

// Where is what a request brings: what its cookies hold and its address.
type Where struct{ Device, Session, Address string }

// Gone says why what a cookie holds is no longer taken.
type Gone string

// The reasons.
const (
	NotGone Gone = ""
	Revoked Gone = "revoked" // the device
	Ended   Gone = "ended"   // the session
)

// Visit is who is there.
type Visit struct {
	Device  *store.Device  // nil: not enrolled
	Session *store.Session // nil: nobody is signed in
	Person  string         // of the session
	Owner   bool
	HasPin  bool
	Gone    Gone
}

// In says whether a person is signed in and the session is not locked.
func (v Visit) In() bool { return v.Session != nil && !v.Session.Locked }

// Locked says whether a person is signed in behind a lock.
func (v Visit) Locked() bool { return v.Session != nil && v.Session.Locked }

// touch is how often the use of a session is written down.
const touch = 15 * time.Second

// Look finds who is there. use says that a person did something just now; what
// a page asks by itself does not keep a session awake.
func (d *Door) Look(ctx context.Context, w Where, use bool) (Visit, error) {
	v, err := d.device(ctx, w)
	if err != nil || w.Session == "" {
		return v, err
	}
	s, err := d.store.Session(ctx, digest(w.Session))
	if missing(err) {
		if v.Gone == NotGone {
			v.Gone = Ended
		}
		return v, nil
	}
	if err != nil {
		return v, err
	}
	k, err := d.store.Keeper(ctx, s.Person)
	if err != nil {
		return v, err
	}
	limits, err := d.Limits(ctx)
	if err != nil {
		return v, err
	}
	now := d.clock().UnixMicro()
	elsewhere := s.Device != "" && (v.Device == nil || v.Device.Device != s.Device)
	if k.Disabled || elsewhere || now-s.Begun > limits.Longest {
		v.Gone = Ended
		return v, d.store.EndSession(ctx, s.Ref)
	}
	switch {
	case s.Locked:
	case now-s.Used > limits.Idle:
		s.Locked = true
		if err := d.lock(ctx, s, w.Address); err != nil {
			return v, err
		}
	case use && now-s.Used > touch.Microseconds():
		s.Used = now
		if err := d.store.UseSession(ctx, s.Ref, now); err != nil {
			return v, err
		}
	}
	v.Session, v.Person, v.Owner, v.HasPin = &s, s.Person, k.Owner, k.Pin != ""
	return v, nil
}

// device finds the device of a request.
func (d *Door) device(ctx context.Context, w Where) (Visit, error) {
	if w.Device == "" {
		return Visit{}, nil
	}
	dev, err := d.store.DeviceBy(ctx, digest(w.Device))
	switch {
	case missing(err):
		return Visit{}, nil
	case err != nil:
		return Visit{}, err
	case dev.Revoked != 0:
		return Visit{Gone: Revoked}, nil
	}
	return Visit{Device: &dev}, nil
}

// place is where guesses are counted: an enrolled device, or an address.
func (v Visit) place(address string) string {
	if v.Device != nil {
		return "device " + v.Device.Device
	}
	return "address " + network(address)
}

// secret is 256 bits of chance as a cookie holds them.
func (d *Door) secret() (string, error) {
	b := make([]byte, 32)
	if _, err := io.ReadFull(d.random, b); err != nil {
		return "", fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	}
	return base64.RawURLEncoding.EncodeToString(b), nil
}

func digest(secret string) [32]byte { return sha256.Sum256([]byte(secret)) }

func missing(err error) bool {
	var f *fault.Fault
	return errors.As(err, &f) && f.Code == fault.Missing
}
