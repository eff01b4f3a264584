package door

import (
	"io"
	"strings"
	"time"

	"fettle/internal/base/fault"
)

// letters of a code: none that is taken for another.
const letters = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"

const (
	codeSize  = 8                // letters, some 39 bits
	codeLives = 10 * time.Minute // of a device's code; the setup code lives as long as the process
)

// offer is a device that may be enrolled.
type offer struct {
	name, by string
	until    time.Time
}

// code makes a new code, as it is shown.
func (d *Door) code() (string, error) {
	var out []byte
	for b := make([]byte, 1); len(out) < codeSize; {
		if _, err := io.ReadFull(d.random, b); err != nil {
			return "", fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
		}
		if n := int(b[0]); n < 256/len(letters)*len(letters) { // each letter as likely
			out = append(out, letters[n%len(letters)])
		}
	}
	return string(out[:4]) + "-" + string(out[4:]), nil
}

// plainCode is a code without what people put between its letters.
func plainCode(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '-' || r == ' ' || r == '\u00a0' || r == '\t' || r == '–' {
			return -1
		}
		return r
	}, strings.ToUpper(s))
}

func codeDigest(s string) [32]byte { return digest(plainCode(s)) }

// SetupCode makes the code that the first page asks for; an earlier one is
// void. It is said on the console, where only the person at this machine reads
// it.
func (d *Door) SetupCode() (string, error) {
	c, err := d.code()
	if err != nil {
		return "", err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.setup = codeDigest(c)
	return c, nil
}
