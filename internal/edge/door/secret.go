package door

import (
	"context"
	"crypto/subtle"
	_ "embed"
	"encoding/base64"
	"fmt"
	"io"
	"strings"
	"sync/atomic"
	"unicode"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
	"golang.org/x/text/unicode/norm"

	"fettle/internal/base/fault"
)

// argon2id with the parameters that OWASP ASVS 5.0 (11.4.2, appendix C) gives:
// two passes over 19 MiB in one lane.
const (
	passes   = 2
	memory   = 19 * 1024 // KiB
	lanes    = 1
	saltSize = 16
	hashSize = 32
)

// atOnce is how many hashes are made at a time, and mostWaiting how many may
// wait for their turn: a burst of sign-ins takes 38 MiB and no more.
const (
	atOnce      = 2
	mostWaiting = 16
)

// hashing makes and checks hashes of secrets.
type hashing struct {
	turns   chan struct{}
	waiting *atomic.Int32
	random  io.Reader
}

func newHashing(random io.Reader) hashing {
	return hashing{make(chan struct{}, atOnce), &atomic.Int32{}, random}
}

// turn waits for a turn and returns how to give it back.
func (h hashing) turn(ctx context.Context) (func(), error) {
	if h.waiting.Add(1) > mostWaiting {
		h.waiting.Add(-1)
		return nil, fault.New(fault.Refused, "door.busy")
	}
	defer h.waiting.Add(-1)
	select {
	case h.turns <- struct{}{}:
		return func() { <-h.turns }, nil
	case <-ctx.Done():
		return nil, fault.New(fault.Refused, "door.busy").Because(ctx.Err())
	}
}

// make hashes a secret.
func (h hashing) make(ctx context.Context, secret string) (string, error) {
	done, err := h.turn(ctx)
	if err != nil {
		return "", err
	}
	defer done()
	salt := make([]byte, saltSize)
	if _, err := io.ReadFull(h.random, salt); err != nil {
		return "", fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	}
	enc := base64.RawStdEncoding.EncodeToString
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, memory, passes, lanes, enc(salt), enc(key(secret, salt, passes, memory, lanes))), nil
}

func key(secret string, salt []byte, t, m uint32, p uint8) []byte {
	return argon2.IDKey([]byte(norm.NFC.String(secret)), salt, t, m, p, hashSize)
}

// check says whether a secret is the one of a hash. Where there is no hash it
// takes as long and says no.
func (h hashing) check(ctx context.Context, hash, secret string) (bool, error) {
	t, m, p, salt, want := uint32(passes), uint32(memory), uint8(lanes), make([]byte, saltSize), []byte(nil)
	if hash != "" {
		var v int
		var rest string
		if n, err := fmt.Sscanf(hash, "$argon2id$v=%d$m=%d,t=%d,p=%d$%s", &v, &m, &t, &p, &rest); n != 5 || err != nil || v != argon2.Version {
			return false, fault.New(fault.Broken, "door.bad-hash")
		}
		a, b, _ := strings.Cut(rest, "$")
		s, err1 := base64.RawStdEncoding.DecodeString(a)
		k, err2 := base64.RawStdEncoding.DecodeString(b)
		if err1 != nil || err2 != nil || len(k) != hashSize {
			return false, fault.New(fault.Broken, "door.bad-hash")
		}
		salt, want = s, k
	}
	done, err := h.turn(ctx)
	if err != nil {
		return false, err
	}
	defer done()
	return subtle.ConstantTimeCompare(key(secret, salt, t, m, p), want) == 1, nil
}

// Bounds of secrets. A password has no rules of composition and no end of life
// (OWASP ASVS 5.0, 6.2).
const (
	leastPassword = 8
	mostPassword  = 256 // letters
	leastPin      = 4
	mostPin       = 12
)

//go:embed common.txt
var common string

// passwordFault says what is wrong with a new password, or nil. names are words
// that a guesser tries first.
func passwordFault(p string, names ...string) *fault.Fault {
	n := utf8.RuneCountInString(p)
	switch {
	case n < leastPassword:
		return fault.New(fault.Invalid, "door.password-short", "least", "8").In("password")
	case n > mostPassword:
		return fault.New(fault.Invalid, "door.password-long", "most", "256").In("password")
	case usual(p, names):
		return fault.New(fault.Invalid, "door.password-common").In("password")
	}
	return nil
}

// usual says whether a password is among the first that are tried: one of the
// list, one letter again and again, a run up or down, a name.
func usual(p string, names []string) bool {
	low := strings.ToLower(strings.TrimSpace(p))
	bare := strings.TrimFunc(low, func(r rune) bool { return !unicode.IsLetter(r) })
	for _, w := range append(strings.Fields(common), names...) {
		w = strings.ToLower(w)
		if w != "" && (low == w || bare == w && len(w) >= 4) {
			return true
		}
	}
	return run(low)
}

// run says whether each letter follows the one before by the same step of -1,
// 0 or 1.
func run(s string) bool {
	var last, step rune
	for i, r := range []rune(s) {
		d := r - last
		if i == 1 {
			step = d
		}
		if i >= 1 && (d != step || d < -1 || d > 1) {
			return false
		}
		last = r
	}
	return s != ""
}

// pinFault says what is wrong with a new PIN, or nil.
func pinFault(p string) *fault.Fault {
	digits := p != ""
	for _, c := range p {
		digits = digits && c >= '0' && c <= '9'
	}
	switch {
	case !digits || len(p) < leastPin || len(p) > mostPin:
		return fault.New(fault.Invalid, "door.pin-short", "least", "4", "most", "12").In("pin")
	case run(p):
		return fault.New(fault.Invalid, "door.pin-common").In("pin")
	}
	return nil
}
