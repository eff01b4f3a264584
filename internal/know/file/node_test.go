package file

import (
	"strings"
	"testing"
)

// Law: what cannot be read is said at its line.
func TestLawSyntaxHasItsLine(t *testing.T) {
	for _, c := range []struct {
		text string
		line int
		key  string
	}{
		{"a: 1\nb: 2\nc: [1, 2\n", 3, "file.syntax"},
		{"a: 1\nb: {c: 2\n", 2, "file.syntax"},
		{"a: 1\nb: c: d\n", 2, "file.syntax"},
		{"a: 1\n\tb: 2\n", 2, "file.syntax"},
		{"a: 1\n  b: 2\n", 2, "file.syntax"},
		{"a: 1\na: 2\n", 2, "file.key-twice"},
		{"a: 1\n---\nb: 2\n", 1, "file.one-document"},
		{"# only a remark\n", 1, "file.one-document"},
		{"a: 1\n? [x]\n: 2\n", 2, "file.bad-key"},
	} {
		_, _, faults := open("f.yaml", []byte(c.text))
		if len(faults) != 1 || faults[0].Key != c.key || faults[0].Line != c.line {
			t.Errorf("%q: %v, want %s in line %d", c.text, faults, c.key, c.line)
		}
	}
}

// Law: aliases cannot make a small file large.
func TestLawAliasesAreBounded(t *testing.T) {
	var b strings.Builder
	b.WriteString("a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n")
	for i := 1; i < 9; i++ {
		prev := string(rune('0' + i - 1))
		b.WriteString("a" + string(rune('0'+i)) + ": &a" + string(rune('0'+i)) + " [" + strings.TrimSuffix(strings.Repeat("*a"+prev+", ", 10), ", ") + "]\n")
	}
	_, _, faults := open("f.yaml", []byte(b.String()))
	if len(faults) != 1 || faults[0].Key != "file.unfolds" {
		t.Errorf("%v", faults)
	}
}
