package file

import (
	"strings"
	"testing"
)

// Law: a compiled schema knows nothing of the folder the process works in, so
// that the folder may change while schemas are compiled beside it.
func TestLawSchemaHasNoFolder(t *testing.T) {
	if at := Compile([]byte(`{"type": "object"}`)).Location; !strings.HasPrefix(at, own) {
		t.Errorf("compiled as %q, want %q", at, own)
	}
}
