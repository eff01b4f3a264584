package family

import (
	"bytes"
	"os"
	"testing"
)

// Golden: the published schema is the one that files are checked against.
// Regenerate on purpose: fettle family schema > doc/format/family-1.schema.json
func TestGoldenSchemaIsPublished(t *testing.T) {
	got, err := os.ReadFile("../../../doc/format/family-1.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, Schema()) {
		t.Error("doc/format/family-1.schema.json is not what the program checks against; regenerate it")
	}
}
