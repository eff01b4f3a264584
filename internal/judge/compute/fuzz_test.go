package compute

import (
	"encoding/json"
	"strings"
	"testing"

	"fettle/internal/base/fault"
)

// Law: whatever is sent, each computation gives an answer without NaN, or faults
// with places; nothing falls over.
func FuzzRun(f *testing.F) {
	all := Entries()
	for i, e := range all {
		f.Add(uint16(i), string(e.Example()))
	}
	for _, s := range []string{`{`, `[]`, `{"a":{"value":"1 mm","half":"0 mm","distribution":"curvilinear-trapezoid","inexact":"0 mm"},"b":"1 mm"}`,
		`{"terms":[{"value":"999999999999999 m","power":"12"}],"unit":"m^12"}`, `{"terms":[{"value":"0 mm","u":"1 mm","power":"0.5"}],"unit":"mm^0.5"}`} {
		for i := range all[:3] {
			f.Add(uint16(i), s)
		}
	}
	f.Fuzz(func(t *testing.T, i uint16, input string) {
		if strings.Contains(input, "draws") || strings.Contains(input, "adaptive") {
			return // slow, and tried elsewhere
		}
		e := all[int(i)%len(all)]
		a, err := e.Run([]byte(input))
		if err != nil {
			for _, f := range fault.All(err) {
				if f.Code == fault.Broken {
					t.Fatalf("%s: %v", e.Name, f)
				}
			}
			return
		}
		b, err := json.Marshal(a)
		if err != nil || strings.Contains(string(b), "NaN") || strings.Contains(string(b), "Inf") {
			t.Fatalf("%s: %s, %v", e.Name, b, err)
		}
	})
}
