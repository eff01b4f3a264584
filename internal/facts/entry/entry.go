// Package entry is the one form in which facts are kept: an entry in a stream,
// never changed, chained to the one before it. A correction is a later entry.
package entry

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"
	"unicode/utf8"

	"fettle/internal/base/fault"
)

// ShopStream is the stream of people, gauges, suppliers and prices; a job's
// stream is JobStream(id).
const ShopStream = "shop"

// DoorStream is the stream of who came in, with which device, and who was
// refused. Nothing is judged by it.
const DoorStream = "door"

// JobStream names the stream of a job.
func JobStream(id string) string { return "job/" + id }

// Key is made by the writer when the fact is recorded, never when it is sent.
type Key [16]byte

// String is 32 hexadecimal digits.
func (k Key) String() string { return hex.EncodeToString(k[:]) }

// ParseKey reads 32 hexadecimal digits.
func ParseKey(s string) (Key, error) {
	var k Key
	b, err := hex.DecodeString(s)
	if err != nil || len(b) != len(k) {
		return k, fault.New(fault.Invalid, "entry.bad-key", "found", s)
	}
	copy(k[:], b)
	return k, nil
}

// Hash is a SHA-256 digest.
type Hash [32]byte

// String is 64 hexadecimal digits.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// Short is the head of the log as it stands in a title block.
func (h Hash) Short() string { return h.String()[:12] }

// Entry is one fact as its writer made it.
type Entry struct {
	Stream  string
	Key     Key
	Kind    Kind
	Version int    // of the payload
	Person  string // opaque id
	Device  string
	Time    int64  // writer's clock, µs since 1970 UTC
	Payload []byte // canonical JSON
}

// Row is an entry as the store keeps it.
type Row struct {
	Entry
	Seq      int64 // from 1 in its stream, without gaps
	Received int64 // server's clock, µs since 1970 UTC
	Prev     Hash  // hash of the row before it, zero for the first
	Hash     Hash
}

// Receipt is what a write returns.
type Receipt struct {
	Stream string `json:"stream"`
	Seq    int64  `json:"sequence"`
	Head   string `json:"head"`
}

// New makes an entry of a payload, which must be a struct of strings, whole
// numbers, booleans, lists and maps of these.
func New(stream string, key Key, kind Kind, person, device string, time int64, payload any) (Entry, error) {
	b, err := Canonical(payload)
	if err != nil {
		return Entry{}, err
	}
	return Entry{Stream: stream, Key: key, Kind: kind, Version: 1, Person: person, Device: device, Time: time, Payload: b}, nil
}

// Bytes is what the row hash covers besides the previous hash: the entry and
// the place and time the store gave it, as lines that cannot be confused.
func (r *Row) Bytes() []byte {
	var b bytes.Buffer
	for _, f := range []string{"fettle/1", r.Stream, strconv.FormatInt(r.Seq, 10), r.Key.String(), string(r.Kind),
		strconv.Itoa(r.Version), r.Person, r.Device, strconv.FormatInt(r.Time, 10), strconv.FormatInt(r.Received, 10)} {
		b.WriteString(strconv.Itoa(len(f)))
		b.WriteByte(':')
		b.WriteString(f)
		b.WriteByte('\n')
	}
	b.Write(r.Payload)
	return b.Bytes()
}

// Digest is the row's hash: SHA-256(0x00 ‖ previous ‖ Bytes), the 0x00 as for a
// leaf in RFC 6962.
func (r *Row) Digest() Hash {
	h := sha256.New()
	h.Write([]byte{0})
	h.Write(r.Prev[:])
	h.Write(r.Bytes())
	var out Hash
	h.Sum(out[:0])
	return out
}

// Same reports whether two entries are the same fact, byte for byte; a store
// answers a repeated key with the first receipt only then.
func (e *Entry) Same(o *Entry) bool {
	return e.Stream == o.Stream && e.Key == o.Key && e.Kind == o.Kind && e.Version == o.Version && e.Person == o.Person &&
		e.Device == o.Device && e.Time == o.Time && bytes.Equal(e.Payload, o.Payload)
}

// Bounds of an entry. A reading with its note takes some 300 bytes.
const (
	mostPayload = 1 << 20
	mostName    = 128 // bytes of kind, person and device
)

// Check says what is wrong with an entry before it is stored.
func (e *Entry) Check() error {
	switch {
	case e.Stream != ShopStream && e.Stream != DoorStream && (!strings.HasPrefix(e.Stream, "job/") || !plainID(e.Stream[4:])):
		return fault.New(fault.Invalid, "entry.bad-stream", "found", e.Stream)
	case e.Key == Key{}:
		return fault.New(fault.Invalid, "entry.no-key")
	case e.Kind == "":
		return fault.New(fault.Invalid, "entry.no-kind")
	case !plainName(string(e.Kind)):
		return fault.New(fault.Invalid, "entry.bad-name", "field", "kind")
	case e.Version < 1:
		return fault.New(fault.Invalid, "entry.bad-version", "found", strconv.Itoa(e.Version))
	case !plainName(e.Person):
		return fault.New(fault.Invalid, "entry.bad-name", "field", "person")
	case !plainName(e.Device):
		return fault.New(fault.Invalid, "entry.bad-name", "field", "device")
	case e.Time <= 0:
		return fault.New(fault.Invalid, "entry.no-time")
	case len(e.Payload) > mostPayload:
		return fault.New(fault.TooLarge, "entry.too-large", "most", "1 MiB")
	}
	b, err := canonicalText(e.Payload)
	switch {
	case err != nil:
		return err
	case !bytes.Equal(b, e.Payload) || b[0] != '{':
		return fault.New(fault.Invalid, "entry.not-canonical")
	}
	return nil
}

// plainName accepts a short text without control characters.
func plainName(s string) bool {
	for _, c := range s {
		if c < ' ' || c == 0x7f || c == utf8.RuneError {
			return false
		}
	}
	return len(s) <= mostName
}

func plainID(s string) bool {
	if s == "" || len(s) > 64 {
		return false
	}
	for _, c := range s {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.') {
			return false
		}
	}
	return true
}

// Follows checks that a row comes directly after sequence seq with hash prev in
// its stream, and still has the hash it was given. The first row follows 0 and
// the zero hash.
func (r *Row) Follows(seq int64, prev Hash) error {
	switch {
	case r.Seq != seq+1:
		return fault.New(fault.Broken, "entry.gap", "stream", r.Stream, "expected", strconv.FormatInt(seq+1, 10), "found", strconv.FormatInt(r.Seq, 10))
	case r.Prev != prev || r.Digest() != r.Hash:
		return fault.New(fault.Broken, "entry.chain", "stream", r.Stream, "sequence", strconv.FormatInt(r.Seq, 10))
	}
	return nil
}

// Chain checks that rows of one stream, from its first, follow one another and
// that each still has the hash it was given. It returns the head.
func Chain(rows []Row) (Hash, error) {
	var seq int64
	var head Hash
	for i := range rows {
		r := &rows[i]
		if r.Stream != rows[0].Stream {
			return head, fault.New(fault.Broken, "entry.mixed-streams", "stream", rows[0].Stream, "found", r.Stream)
		}
		if err := r.Follows(seq, head); err != nil {
			return head, err
		}
		seq, head = r.Seq, r.Hash
	}
	return head, nil
}
