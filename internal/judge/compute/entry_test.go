package compute

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
)

func compiled(t *testing.T, name string, schema []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema))
	if err != nil {
		t.Fatal(name, err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("mem:///"+name, doc); err != nil {
		t.Fatal(name, err)
	}
	s, err := c.Compile("mem:///" + name)
	if err != nil {
		t.Fatal(name, err)
	}
	return s
}

// Law: every computation has a name of its own, a source that is declared, a
// sentence, and an example that its schema takes and that it can be run on; its
// answer is what the schema says under output.
func TestLawEntries(t *testing.T) {
	sources, err := os.ReadFile("../../../data/sources.yaml")
	if err != nil {
		t.Fatal(err)
	}
	words, err := os.ReadFile("../../../data/words/en.yaml")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, e := range Entries() {
		if seen[e.Name] {
			t.Errorf("%s twice", e.Name)
		}
		seen[e.Name] = true
		if !strings.Contains(string(sources), "{id: "+string(e.Source)+",") {
			t.Errorf("%s: source %q is not declared", e.Name, e.Source)
		}
		if e.What != "" && !strings.Contains(string(words), "\n"+e.What+": ") || e.What == "" && e.Equation == "" {
			t.Errorf("%s: no sentence %q", e.Name, e.What)
		}
		example := e.Example()
		schema := e.Schema()
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(example))
		if err != nil {
			t.Errorf("%s: example: %v", e.Name, err)
			continue
		}
		if err := compiled(t, e.Name, schema).Validate(doc); err != nil {
			t.Errorf("%s: example against schema: %v", e.Name, err)
		}
		a, err := e.Run(example)
		if err != nil {
			t.Errorf("%s: %v", e.Name, err)
			continue
		}
		text, err := json.Marshal(a)
		if err != nil {
			t.Fatal(e.Name, err)
		}
		if strings.Contains(string(text), "NaN") || len(a.figures()) == 0 {
			t.Errorf("%s: %s", e.Name, text)
		}
		var whole struct {
			Defs struct{ Output json.RawMessage } `json:"$defs"`
		}
		if err := json.Unmarshal(schema, &whole); err != nil {
			t.Fatal(err)
		}
		back, _ := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err := compiled(t, e.Name+"-output", whole.Defs.Output).Validate(back); err != nil {
			t.Errorf("%s: answer against schema: %v", e.Name, err)
		}
	}
}

// Law: a member that nothing takes, one that is left out, a unit of another
// kind, and a number without quotes are each an error that names the member,
// with its place, in every computation.
func TestLawMistakesAreNamed(t *testing.T) {
	for _, e := range Entries() {
		var in map[string]any
		if err := json.Unmarshal(e.Example(), &in); err != nil {
			t.Fatal(e.Name, err)
		}
		try := func(change func(m map[string]any), name string) {
			t.Helper()
			m := map[string]any{}
			for k, v := range in {
				m[k] = v
			}
			change(m)
			text, _ := json.MarshalIndent(m, "", " ")
			_, err := e.Run(text)
			if err == nil {
				t.Errorf("%s: %s was let pass: %s", e.Name, name, text)
				return
			}
			for _, f := range fault.All(err) {
				if f.Code != fault.Invalid || f.Line < 1 && f.Key != "compute.no-value" {
					t.Errorf("%s: %s: %v at %d:%d", e.Name, name, f, f.Line, f.Col)
				}
				if strings.Contains(f.Error(), name) || strings.Contains(f.Path, name) {
					return
				}
			}
			t.Errorf("%s: no fault names %s: %v", e.Name, name, err)
		}
		try(func(m map[string]any) { m["nonesuch"] = "1 mm" }, "nonesuch")
		try(func(m map[string]any) { m["unit"] = "furlong" }, "furlong")
		for _, required := range requiredOf(t, e) {
			try(func(m map[string]any) { delete(m, required) }, required)
			try(func(m map[string]any) { m[required] = map[string]any{"value": 3.5} }, required)
			try(func(m map[string]any) { m[required] = nil }, required)
		}
	}
}

func requiredOf(t *testing.T, e Entry) []string {
	t.Helper()
	var s struct{ Required []string }
	if err := json.Unmarshal(e.Schema(), &s); err != nil {
		t.Fatal(err)
	}
	return s.Required
}

// Law: a unit of another kind in the place of the first length is an error with
// its place, in every computation where kinds have to agree.
func TestLawKindsAreHeld(t *testing.T) {
	n := 0
	for _, e := range Entries() {
		text := string(e.Example())
		if strings.Count(text, " mm\"")+strings.Count(text, " µm\"") < 3 {
			continue // any kind may stand alone
		}
		_, err := e.Run([]byte(strings.Replace(text, " mm\"", " kg\"", 1)))
		all := fault.All(err)
		if strings.Contains(text, " mm\"") && (len(all) == 0 || all[0].Line < 1 || all[0].Code != fault.Invalid) {
			t.Errorf("%s: %v", e.Name, err)
		}
		n++
	}
	if n < 30 {
		t.Errorf("only %d computations were tried", n)
	}
}

// Law: a unit made of units is read as its factors, and what is none is refused.
func TestLawProductsOfUnits(t *testing.T) {
	for text, want := range map[string]float64{"mm/K": 1e-3, "N/mm²": 1e6, "nm·K": 1e-9, "mm^0.5": math.Sqrt(1e-3), "kg/m^3": 1, "N·mm": 1e-3, "mm/K/s": 1e-3, "1e-6/K": 1e-6, "µm²": 1e-12, "K⁻¹": 1} {
		s, ok := scaleOf(text)
		if !ok || math.Abs(s.factor-want) > 1e-12*want {
			t.Errorf("%s: %v %v, want %v", text, s, ok, want)
		}
	}
	for _, text := range []string{"", "furlong", "mm/", "/mm", "mm//K", "mm·", "mm^", "mm^99", "mmK", "m m"} {
		if s, ok := scaleOf(text); ok {
			t.Errorf("%q was read as %v", text, s)
		}
	}
	if a, b := powersOf(unit.Pressure), (powers{}).times(powersOf(unit.Force), 1).times(powersOf(unit.Area), -1); !a.same(b) {
		t.Error("a pressure is no force over an area")
	}
}

// Law: a doubt of u has the standard deviation u whatever its distribution, but
// for a t, of which u is the scale.
func TestLawDeviationOfADoubt(t *testing.T) {
	for _, name := range distributions() {
		if name == "exponential" || name == "gamma" || name == "t" {
			continue
		}
		for _, form := range []float64{0.1, 0.6} {
			s, err := doubt{distribution: name, form: form}.shape(5, 0.02)
			if err != nil {
				t.Fatal(name, err)
			}
			if sd, ok := s.Deviation(); !ok || math.Abs(sd-0.02) > 1e-14 || math.Abs(s.Mean()-5) > 1e-14 {
				t.Errorf("%s: deviation %v about %v", name, sd, s.Mean())
			}
		}
	}
}
