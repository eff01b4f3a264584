package door

import (
	"context"
	"encoding/hex"
	"io"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/store"
	"fettle/internal/facts/door"
	"fettle/internal/facts/entry"
)

const (
	time60 = time.Minute
	time5  = 5 * time.Second
)

// mostOffers bounds the codes that wait at a time.
const mostOffers = 32

// newDevice makes a device and what its cookie is to hold.
func (d *Door) newDevice(name string) (store.Device, string, error) {
	cookie, err := d.secret()
	if err != nil {
		return store.Device{}, "", err
	}
	b := make([]byte, 3)
	if _, err := io.ReadFull(d.random, b); err != nil {
		return store.Device{}, "", fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	}
	now := d.clock().UnixMicro()
	return store.Device{Device: "d-" + hex.EncodeToString(b), Name: name, Token: digest(cookie), Enrolled: now, Seen: now}, cookie, nil
}

// Devices lists every device that was ever enrolled, the oldest first.
func (d *Door) Devices(ctx context.Context) ([]store.Device, error) { return d.store.Devices(ctx) }

// Offer makes the one-time code with which a device gets a name, and says until
// when it holds.
func (d *Door) Offer(by, name string) (code string, until time.Time, err error) {
	if name = strings.TrimSpace(name); !worded(name, 40) {
		return "", until, fault.List{fault.New(fault.Invalid, "door.no-device-name", "most", "40").In("device")}
	}
	if code, err = d.code(); err != nil {
		return "", until, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	now := d.clock()
	for k, o := range d.offers {
		if now.After(o.until) {
			delete(d.offers, k)
		}
	}
	if len(d.offers) >= mostOffers {
		return "", until, fault.New(fault.Refused, "door.many-codes", "most", itoa(mostOffers))
	}
	until = now.Add(codeLives)
	d.offers[codeDigest(code)] = offer{name, by, until}
	return code, until, nil
}

// Enrol takes a code and makes the device that gives it one of the shop's.
//
// Errors: *Wait; refused where the code is unknown, used or too old.
func (d *Door) Enrol(ctx context.Context, code, address string) (name, cookie string, err error) {
	rules := []rule{{"code at " + network(address), 4, time60}, {"code", 40, time5}}
	if w := d.delays.take(d.clock(), rules); w > 0 {
		return "", "", waiting(w)
	}
	d.mu.Lock()
	o, ok := d.offers[codeDigest(code)]
	if ok {
		delete(d.offers, codeDigest(code)) // it works once, whatever comes of it
	}
	d.mu.Unlock()
	if !ok || d.clock().After(o.until) {
		if err := d.refused(ctx, door.EventV1{Address: address, Way: "code"}); err != nil {
			return "", "", err
		}
		return "", "", fault.List{fault.New(fault.Refused, "door.bad-code").In("code")}
	}
	d.delays.right(rules)
	dev, cookie, err := d.newDevice(o.name)
	if err != nil {
		return "", "", err
	}
	if err := d.store.PutDevice(ctx, dev); err != nil {
		return "", "", err
	}
	return o.name, cookie, d.note(ctx, entry.Enrolled, o.by, door.EventV1{Device: dev.Device, Name: dev.Name, Address: address})
}

// Revoke ends a device and every session on it, at once.
func (d *Door) Revoke(ctx context.Context, by, device string) error {
	if err := d.store.Revoke(ctx, device, d.clock().UnixMicro()); err != nil {
		if missing(err) {
			return fault.New(fault.Missing, "door.no-such-device", "found", device)
		}
		return err
	}
	name := ""
	list, err := d.store.Devices(ctx)
	if err != nil {
		return err
	}
	for _, v := range list {
		if v.Device == device {
			name = v.Name
		}
	}
	return d.note(ctx, entry.Revoked, by, door.EventV1{Device: device, Name: name})
}
