package material

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/goccy/go-yaml"
)

// Published (THM-01): linear expansion of engine materials, sources row by row
// in the table. Coefficients are defaults, never certified: where tables
// disagree the half width holds them all, and for grey iron, which is printed as
// 10.0 to 12.0, it is at least 1.0.
func TestPublishedExpansion(t *testing.T) {
	text, err := os.ReadFile("../../../data/materials.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var file File
	if err := yaml.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	type coefficient struct{ mean, half float64 }
	known := map[string]coefficient{}
	for _, m := range file.Materials {
		known[m.ID] = coefficient{1e6 * m.Expansion.SI(), 1e6 * m.HalfWidth.SI()}
	}
	f, err := os.Open("testdata/thermal_expansion.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) != 20 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		m, ok := known[row[0]]
		if !ok {
			t.Errorf("%s is not among the materials", row[0])
			continue
		}
		alpha, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		off := math.Abs(m.mean - alpha)
		if row[3] == "yes" && off > 1e-9 || off > m.half {
			t.Errorf("%s: %g ± %g, %s has %g", row[0], m.mean, m.half, row[1], alpha)
		}
	}
	if g := known["grey-iron"]; g.half < 1 || g.mean-g.half > 10 || g.mean+g.half < 12 {
		t.Errorf("grey iron: %g ± %g does not hold 10.0 to 12.0", g.mean, g.half)
	}
}
