// Package door replays the stream of the door: who came in, on which device,
// and who was refused. It holds no secret and nothing is judged by it.
package door

import (
	"bytes"
	"encoding/json"

	"fettle/internal/facts/entry"
)

// EventV1 is what happened at the door. The entry's own person is who did it;
// Person is whom it is about.
type EventV1 struct {
	Person  string `json:"person,omitempty"`  // opaque id
	Device  string `json:"device,omitempty"`  // id of an enrolled device
	Name    string `json:"name,omitempty"`    // of the device
	Address string `json:"address,omitempty"` // of the network, without port
	Way     string `json:"way,omitempty"`     // password, pin or code
	Unsaid  int64  `json:"unsaid,omitempty"`  // refusals before this one that were counted only
	Idle    int64  `json:"idle,omitempty"`    // minutes until a session locks
	Longest int64  `json:"longest,omitempty"` // hours that a session may last
}

// Event is one event with its place in the log.
type Event struct {
	EventV1
	Kind entry.Kind
	By   string // person who did it
	Time int64  // µs since 1970 UTC
	Seq  int64
}

// Replay reads the events of rows, oldest first; odd counts what this release
// does not understand.
func Replay(rows []entry.Row) (list []Event, odd int) {
	for i := range rows {
		r := &rows[i]
		e := Event{Kind: r.Kind, By: r.Person, Time: r.Time, Seq: r.Seq}
		d := json.NewDecoder(bytes.NewReader(r.Payload))
		d.DisallowUnknownFields()
		if r.Version != 1 || !known(r.Kind) || d.Decode(&e.EventV1) != nil {
			odd++
			continue
		}
		list = append(list, e)
	}
	return list, odd
}

func known(k entry.Kind) bool {
	switch k {
	case entry.OwnerSetUp, entry.SignedIn, entry.SignInFailed, entry.SignedOut, entry.Locked, entry.Enrolled, entry.Revoked,
		entry.PersonDisabled, entry.PersonEnabled, entry.SecretSet, entry.DoorLimits:
		return true
	}
	return false
}
