package offer

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/money"
	"fettle/internal/facts/entry"
)

// File is a quote as it leaves the shop, quote/1: all that was offered, in
// canonical JSON, so that the same quote has the same digest everywhere. Field by
// field: doc/format/quote.md.
type File struct {
	Format   string `json:"fettle"` // quote/1
	Job      string `json:"job"`
	Title    string `json:"title"`
	Invented bool   `json:"invented,omitempty"`
	Family   string `json:"family"`
	Digest   string `json:"family_digest"`
	Head     string `json:"head"` // of the job's log, when it was made
	Number   int    `json:"number"`
	On       string `json:"on"`
	Until    string `json:"until"`
	Offer    *Offer `json:"offer"`
}

// Sealed is a file with what tells it from every other.
type Sealed struct {
	Bytes  []byte
	Digest string // SHA-256, hexadecimal
	Code   string // its first forty bits, to be read out
}

// letters of the short code: no digit and letter look alike.
const letters = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"

// Code is the short code of a digest.
//
// Shapes: text -> eight letters in two groups.
// Units:  none.
// Errors: none; "" for what is no digest.
func Code(digest string) string {
	b, err := hex.DecodeString(digest)
	if err != nil || len(b) != sha256.Size {
		return ""
	}
	n := uint64(b[0])<<32 | uint64(b[1])<<24 | uint64(b[2])<<16 | uint64(b[3])<<8 | uint64(b[4])
	var out strings.Builder
	for i := 7; i >= 0; i-- {
		if i == 3 {
			out.WriteByte('-')
		}
		out.WriteByte(letters[n>>(5*i)&31])
	}
	return out.String()
}

// Seal writes a quote.
//
// Errors: entry.* where a text is none.
func (f File) Seal() (Sealed, error) {
	f.Format = "quote/1"
	text, err := entry.Canonical(f)
	if err != nil {
		return Sealed{}, err
	}
	return sealed(text), nil
}

func sealed(text []byte) Sealed {
	sum := sha256.Sum256(text)
	digest := hex.EncodeToString(sum[:])
	return Sealed{text, digest, Code(digest)}
}

// Verify reads a quote that came back, and works out anew what it adds up to.
// Whether it is the quote that was issued, its digest says: it stands in the log
// of the job and, as a code, on the printed quote.
//
// Errors: quote.not-a-quote for anything else or another version, quote.changed
// where it is not as fettle writes it, quote.sum where a sum is not that of its
// lines.
func Verify(text []byte) (File, Sealed, error) {
	var f File
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil || f.Format != "quote/1" || f.Offer == nil {
		return f, Sealed{}, fault.New(fault.Invalid, "quote.not-a-quote")
	}
	again, err := entry.Canonical(f)
	if err != nil || !bytes.Equal(again, text) {
		return f, Sealed{}, fault.New(fault.Invalid, "quote.changed")
	}
	for i := range f.Offer.Options {
		if o := &f.Offer.Options[i]; !o.adds(f.Offer.Currency) {
			return f, Sealed{}, fault.New(fault.Invalid, "quote.sum", "option", o.ID)
		}
	}
	return f, sealed(text), nil
}

// adds says whether the sums of an option are those of its lines.
func (o *Option) adds(c money.Currency) bool {
	anew := Option{Lines: o.Lines}
	if anew.total(c) != nil || !anew.Net.same(o.Net) || !anew.Tax.same(o.Tax) || !anew.Gross.same(o.Gross) {
		return false
	}
	return slices.EqualFunc(anew.Labour, o.Labour, func(a, b Hours) bool { return a.Machine == b.Machine && a.Minutes == b.Minutes && a.Net.same(b.Net) })
}

func (r Range) same(b Range) bool {
	return r.Low.String() == b.Low.String() && r.High.String() == b.High.String()
}

// Sum is the SHA-256 of bytes, hexadecimal.
func Sum(text []byte) string { return sealed(text).Digest }
