package revise

import (
	"strconv"
	"strings"

	"fettle/internal/base/cite"
)

// Kinds lists what a source can be.
func Kinds() []string {
	return []string{"standard", "guide", "book", "paper", "trade", "practice", "invented"}
}

// Seens lists how much of a source was opened.
func Seens() []string { return []string{"read", "excerpt", "from memory", "own"} }

// KeyOf makes a source's key of its title: its words in small letters with
// hyphens, another number behind it where the key is taken.
func KeyOf(title string, taken func(cite.Key) bool) cite.Key {
	var b strings.Builder
	gap := false
	for _, c := range strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss").Replace(strings.ToLower(title)) {
		switch {
		case c >= 'a' && c <= 'z' || c >= '0' && c <= '9':
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(c)
		default:
			gap = true
		}
		if b.Len() >= 40 {
			break
		}
	}
	base := b.String()
	if base == "" {
		base = "source"
	}
	for n := 1; ; n++ {
		k := cite.Key(base)
		if n > 1 {
			k = cite.Key(base + "-" + strconv.Itoa(n))
		}
		if !taken(k) {
			return k
		}
	}
}
