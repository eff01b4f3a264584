package job

import (
	"crypto/sha256"
	"sort"
	"strings"
)

// alphabet is what labels are written in: no 0, O, 1 or I, which a greasy thumb
// makes alike. A letter's place in it is its value in GF(32).
const alphabet = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"

// labelLetters is how long a label is without its check letter.
const labelLetters = 5

// Labels gives every part of a job its label: five letters that follow from
// job and part, and a check letter. Where two parts would have the same, the
// later one in order gets another.
func Labels(job string, parts []string) map[string]string {
	sorted := append([]string(nil), parts...)
	sort.Strings(sorted)
	out := make(map[string]string, len(parts))
	taken := map[string]bool{}
	for _, p := range sorted {
		if out[p] != "" {
			continue
		}
		for salt := byte(0); ; salt++ {
			l := label(job, p, salt)
			if !taken[l] {
				taken[l], out[p] = true, l
				break
			}
		}
	}
	return out
}

func label(job, part string, salt byte) string {
	sum := sha256.Sum256([]byte(job + "\x00" + part + "\x00" + string(rune('a'+salt))))
	b := make([]byte, labelLetters)
	for i := range b {
		b[i] = alphabet[sum[i]&31]
	}
	return string(b) + string(checkLetter(string(b)))
}

// checkLetter closes a label. Its value is
//
//	c = Σ αⁱ·vᵢ,  i = 1 … n
//
// in GF(32) = GF(2)[α]/(α⁵ + α² + 1). As the weights are different and none is
// 0 or 1, every single wrong letter and every two letters that changed places,
// the check letter among them, are found.
func checkLetter(s string) byte {
	c := 0
	for i := len(s) - 1; i >= 0; i-- {
		c = times(c ^ strings.IndexByte(alphabet, s[i]))
	}
	return alphabet[c]
}

// times multiplies by α.
func times(v int) int {
	v <<= 1
	if v&32 != 0 {
		v ^= 32 | 4 | 1
	}
	return v
}

// ReadLabel reads a label as a scanner or a person types it: capitals or not,
// with spaces or hyphens, alone or as the last part of an address; ok is false
// where its check letter does not fit.
func ReadLabel(text string) (label string, ok bool) {
	text = strings.TrimSpace(text)
	if i := strings.LastIndexByte(text, '/'); i >= 0 {
		text = text[i+1:]
	}
	text = strings.NewReplacer(" ", "", "-", "").Replace(strings.ToUpper(text))
	if len(text) != labelLetters+1 {
		return text, false
	}
	for i := range len(text) {
		if strings.IndexByte(alphabet, text[i]) < 0 {
			return text, false
		}
	}
	return text, checkLetter(text[:labelLetters]) == text[labelLetters]
}
