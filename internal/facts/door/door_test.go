package door

import (
	"testing"

	"fettle/internal/facts/entry"
)

// Law: an event comes back as it was written; what a release does not know is
// counted and changes nothing. Synthetic.
func TestReplay(t *testing.T) {
	made := func(kind entry.Kind, payload any) entry.Row {
		e, err := entry.New(entry.DoorStream, entry.Key{1}, kind, "p-1", "d-1", 1700000000000000, payload)
		if err != nil {
			t.Fatal(err)
		}
		if err := e.Check(); err != nil {
			t.Fatal(err)
		}
		return entry.Row{Entry: e, Seq: 7}
	}
	want := EventV1{Person: "p-2", Device: "d-1", Name: "bench 2", Address: "192.168.7.20", Way: "pin", Unsaid: 3}
	later := made(entry.SignedIn, want)
	later.Version = 2
	list, odd := Replay([]entry.Row{made(entry.SignInFailed, want), made(entry.Kind("door painted"), want), later,
		made(entry.SignedIn, struct {
			Pin string `json:"pin"`
		}{"1234"})})
	if odd != 3 || len(list) != 1 {
		t.Fatalf("%d events, %d not understood; want 1 and 3", len(list), odd)
	}
	if e := list[0]; e.EventV1 != want || e.Kind != entry.SignInFailed || e.By != "p-1" || e.Seq != 7 || e.Time != 1700000000000000 {
		t.Errorf("read back as %+v", e)
	}
}
