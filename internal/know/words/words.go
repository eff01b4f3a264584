// Package words holds every sentence that a person reads. Code names a sentence
// by key and hands over its arguments; the sentence stands in a word file, one
// a language, English complete.
package words

import (
	"sort"
	"strings"

	"github.com/goccy/go-yaml"

	"fettle/internal/base/fault"
)

// Text is a short text in several languages, by language tag.
type Text map[string]string

// In returns the text in a language, else in English, else any.
func (t Text) In(lang string) string {
	if s, ok := t[lang]; ok {
		return s
	}
	if s, ok := t["en"]; ok {
		return s
	}
	for _, k := range sortedKeys(t) {
		return t[k]
	}
	return ""
}

func sortedKeys(t Text) []string {
	out := make([]string, 0, len(t))
	for k := range t {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// Book is the sentences of one language over those of English.
type Book struct {
	Lang string
	say  map[string]string
	back *Book
}

// Parse reads a word file: a flat mapping from key to sentence. Arguments stand
// in braces: "{found} is not a number".
func Parse(lang string, text []byte, back *Book) (*Book, error) {
	b := &Book{Lang: lang, back: back}
	if say, ok := plain(string(text)); ok {
		b.say = say
		return b, nil
	}
	if err := yaml.Unmarshal(text, &b.say); err != nil {
		return nil, fault.New(fault.Invalid, "file.syntax", "error", err.Error()).At(lang, 1, 1)
	}
	return b, nil
}

// plain reads a file in which every line is empty, a remark or one key with one
// sentence in single quotes: what a word file looks like, forty times as fast
// as YAML at large. Anything else, a key that stands twice too, it leaves to
// the reader of YAML, which says what is wrong with it.
func plain(text string) (say map[string]string, ok bool) {
	say = map[string]string{}
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		if line == "" || line[0] == '#' {
			continue
		}
		key, rest, found := strings.Cut(line, ": '")
		body, closed := strings.CutSuffix(rest, "'")
		if _, twice := say[key]; !found || !closed || twice || !plainKey(key) || !plainBody(body) {
			return nil, false
		}
		say[key] = strings.ReplaceAll(body, "''", "'")
	}
	return say, len(say) > 0
}

// plainKey reports a key of letters, digits, dots and hyphens that begins with
// a letter; with a dot in it YAML takes it for nothing but a text.
func plainKey(key string) bool {
	for i := range len(key) {
		if c := key[i]; !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || i > 0 && (c >= '0' && c <= '9' || c == '.' || c == '-')) {
			return false
		}
	}
	return strings.IndexByte(key, '.') > 0
}

// plainBody reports whether every quote inside is doubled and no letter is one
// that YAML would not take as it stands.
func plainBody(body string) bool {
	for i := 0; i < len(body); i++ {
		switch c := body[i]; {
		case c == '\'' && (i+1 == len(body) || body[i+1] != '\''):
			return false
		case c == '\'':
			i++
		case c < ' ' || c == 0x7f:
			return false
		}
	}
	return true
}

// Has reports whether the language, or English behind it, knows a key.
func (b *Book) Has(key string) bool {
	if _, ok := b.say[key]; ok {
		return true
	}
	return b.back != nil && b.back.Has(key)
}

// Keys lists the keys of this language, sorted.
func (b *Book) Keys() []string { return sortedKeys(b.say) }

// Say fills the sentence of a key with alternating names and values. A key that
// no language knows is shown in brackets, so that it is seen and mended.
func (b *Book) Say(key string, pairs ...string) string {
	s, ok := b.say[key]
	if !ok {
		if b.back != nil {
			return b.back.Say(key, pairs...)
		}
		return "[" + strings.Join(append([]string{key}, pairs...), " ") + "]"
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		s = strings.ReplaceAll(s, "{"+pairs[i]+"}", pairs[i+1])
	}
	return s
}

// Count says key.one for one and key.other for any other number, with {n}.
func (b *Book) Count(key string, n int, number string, pairs ...string) string {
	form := ".other"
	if n == 1 {
		form = ".one"
	}
	return b.Say(key+form, append([]string{"n", number}, pairs...)...)
}

// Args says a key with its arguments as a map.
func (b *Book) Args(key string, args map[string]string) string {
	names := make([]string, 0, len(args))
	for n := range args {
		names = append(names, n)
	}
	sort.Strings(names)
	pairs := make([]string, 0, 2*len(names))
	for _, n := range names {
		pairs = append(pairs, n, args[n])
	}
	return b.Say(key, pairs...)
}

// Fault says what went wrong in one sentence, without its place, and what may have
// been meant where a fault knows.
func (b *Book) Fault(f *fault.Fault) string {
	s := b.Args(f.Key, f.Args)
	if p := f.Args["perhaps"]; p != "" {
		s += b.Say("fault.perhaps", "perhaps", p)
	}
	return s
}
