package sheet

import (
	"bytes"
	"os"
	"testing"

	"fettle/internal/show/view"
)

// Law: the same labels give the same bytes on every paper, as many sheets as
// they need, and what is no paper or no label is said.
func TestLabels(t *testing.T) {
	var list []view.Label
	for range 25 {
		list = append(list, view.Label{Text: "K7M3Q-W", Name: "Connecting rod with a name that is too long for one line", Where: "cylinder 3", Part: "rod/3",
			Job: "2026-014", Keeps: "It keeps its place and its direction.", Code: "http://127.0.0.1:8080/l/2026-014/K7M3QW"})
	}
	for _, p := range LabelPapers() {
		a, err := Labels(list, p.Name, 1_700_000_000_000_000, "fettle test")
		b, _ := Labels(list, p.Name, 1_700_000_000_000_000, "fettle test")
		if err != nil || !bytes.Equal(a, b) {
			t.Fatalf("%s: %v, alike %v", p.Name, err, bytes.Equal(a, b))
		}
		want := (len(list) + p.Across*p.Down - 1) / (p.Across * p.Down)
		if got := bytes.Count(a, []byte("/Type /Page\n")); got != want {
			t.Errorf("%s: %d sheets, want %d", p.Name, got, want)
		}
		if p.LabelW*float64(p.Across) > p.W || p.Top+p.Label*float64(p.Down) > p.H {
			t.Errorf("%s: the labels are larger than their sheet", p.Name)
		}
		if dir := os.Getenv("FETTLE_LABELS"); dir != "" {
			if err := os.WriteFile(dir+"/"+p.Name+".pdf", a, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	if _, err := Labels(list, "a0", 1, ""); err == nil {
		t.Error("labels on a0")
	}
	if _, err := Labels(nil, "a4", 1, ""); err == nil {
		t.Error("labels of nothing")
	}
}
