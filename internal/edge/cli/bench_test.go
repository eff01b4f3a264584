package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// run is one command line against the knowledge folder of this repository.
func run(t testing.TB, in string, args ...string) (code int, out, err string) {
	t.Helper()
	var o, e bytes.Buffer
	code = Run(World{Args: args, In: bytes.NewBufferString(in), Out: &o, Err: &e, Files: os.DirFS("../../../data")})
	return code, o.String(), e.String()
}

// BenchmarkEvaluate is one whole run of fettle evaluate on the invented job
// 2026-014, knowledge and family read anew, every file written; the start of
// the process comes on top.
func BenchmarkEvaluate(b *testing.B) {
	dir := b.TempDir()
	csv := filepath.Join(dir, "readings.csv")
	if code, _, e := run(b, "", "demo", "--export", csv); code != 0 {
		b.Fatal(e)
	}
	for b.Loop() {
		if code, _, e := run(b, "", "evaluate", "--family", "../../../data/family/corran-24-5.yaml", "--readings", csv, "--out", filepath.Join(dir, "out")); code != 0 {
			b.Fatal(e)
		}
	}
}
