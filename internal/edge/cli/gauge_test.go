package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
)

// gaugeShop is a store with one micrometer, one rod and one person.
func gaugeShop(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "shop")
	st, err := store.Open(context.Background(), dir, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	var list []entry.Entry
	for i, p := range []struct {
		kind    entry.Kind
		payload any
	}{{entry.PersonKnown, shop.PersonV1{Person: "AB", Initials: "AB"}},
		{entry.GaugeKnown, shop.GaugeV1{Gauge: "mic", Type: "micrometer", Serial: "4711", Master: "rod"}},
		{entry.GaugeKnown, shop.GaugeV1{Gauge: "rod", Type: "setting-master"}}} {
		e, err := entry.New(entry.ShopStream, entry.Key{15: byte(i + 1)}, p.kind, "AB", "test", 1, p.payload)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e)
	}
	if _, err := st.Append(context.Background(), list); err != nil {
		t.Fatal(err)
	}
	return dir
}

func ran(t *testing.T, want int, args ...string) string {
	t.Helper()
	var out, err bytes.Buffer
	if code := Run(World{Args: args, In: strings.NewReader(""), Out: &out, Err: &err, Files: os.DirFS("../../../data")}); code != want {
		t.Fatalf("%v: exit %d, want %d\n%s%s", args, code, want, out.String(), err.String())
	}
	return out.String() + err.String()
}

func has(t *testing.T, text string, wants ...string) {
	t.Helper()
	for _, w := range wants {
		if !strings.Contains(text, w) {
			t.Errorf("%q is not in\n%s", w, text)
		}
	}
}

// Law: without --yes a certificate is shown and nothing kept; with it, kept
// once; the list tells.
func TestGaugeImport(t *testing.T) {
	dir := gaugeShop(t)
	const file = "../../facts/certificate/testdata/micrometer-3.1.2.xml" // invented
	args := []string{"gauge", "import", file, "--dir", dir, "--gauge", "mic", "--person", "AB", "--due", "2027-02-03"}
	has(t, ran(t, 0, args...), "INV-2026-0001 of Invented Laboratory", "serial number 4711", "65.3712 mm       1.2 ± 0.9 µm", "no signature", "Nothing was stored")
	has(t, ran(t, 0, "gauge", "list", "--dir", dir), "mic", "not calibrated here")
	if kept, err := os.ReadDir(filepath.Join(dir, "files")); err != nil || len(kept) != 0 {
		t.Errorf("kept %v, %v", kept, err)
	}
	has(t, ran(t, 0, append(args, "--yes")...), "Stored for mic as entry 4")
	has(t, ran(t, 0, append(args, "--yes")...), "was stored before, as entry 4")
	has(t, ran(t, 0, "gauge", "list", "--dir", dir), "calibrated 2026-02-03, 6 points")
	kept, err := os.ReadDir(filepath.Join(dir, "files"))
	if err != nil || len(kept) != 1 {
		t.Fatalf("kept %v, %v", kept, err)
	}
	was, _ := os.ReadFile(file)
	if now, err := os.ReadFile(filepath.Join(dir, "files", kept[0].Name())); err != nil || !bytes.Equal(was, now) {
		t.Errorf("not byte for byte: %v", err)
	}
	var got struct {
		Stored, Again bool
		Calibration   shop.CalibratedV2
	}
	if err := json.Unmarshal([]byte(ran(t, 0, append(args, "--yes", "--json")...)), &got); err != nil || !got.Stored || !got.Again || got.Calibration.File != kept[0].Name() {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestGaugeImportRefuses(t *testing.T) {
	dir := gaugeShop(t)
	const folder = "../../facts/certificate/testdata/"
	bad := func(want string, args ...string) {
		t.Helper()
		has(t, ran(t, exitInput, append([]string{"gauge"}, args...)...), want)
	}
	bad("bad-nan.xml:61:", "import", folder+"bad-nan.xml", "--dir", dir, "--gauge", "mic")
	bad("versions 3.1 and 3.2 are read", "import", folder+"bad-version.xml", "--dir", dir, "--gauge", "mic")
	bad("has the serial number 4711", "import", folder+"ring-3.2.0.xml", "--dir", dir, "--gauge", "mic")
	bad("no gauge nobody", "import", folder+"ring-3.2.0.xml", "--dir", dir, "--gauge", "nobody")
	bad("holds no store", "import", folder+"ring-3.2.0.xml", "--dir", filepath.Join(dir, "none"), "--gauge", "mic")
	bad("cannot be read", "import", folder+"none.xml", "--dir", dir, "--gauge", "mic")
	bad("is not a day", "leaned", "mic", "--dir", dir, "--from", "soon")
	if _, err := os.Stat(filepath.Join(dir, "none")); err == nil {
		t.Error("a store was made")
	}
}

func TestGaugeCheck(t *testing.T) {
	dir := gaugeShop(t)
	check := []string{"gauge", "check", "mic", "--dir", dir, "--true", "50.000", "--read", "50.002", "--person", "AB"}
	has(t, ran(t, 0, check...), "AB with mic on rod: shows 2.00 µm too much", "from the type of the gauge")
	has(t, ran(t, 0, append(check, "--json")...), `"bias"`, `"AB": "2.00"`)
	has(t, ran(t, exitInput, append(check, "--person", "ZZ")...), "not one of the people")
	ran(t, 0, "gauge", "leaned", "mic", "--dir", dir)
}

// Law: a check is withdrawn only with --yes and a reason, once, and the list is
// quiet again.
func TestGaugeWithdraw(t *testing.T) {
	dir := gaugeShop(t)
	var check struct{ Entry string }
	text := ran(t, 0, "gauge", "check", "mic", "--dir", dir, "--true", "50.000", "--read", "50.002", "--person", "AB", "--json")
	if err := json.Unmarshal([]byte(text), &check); err != nil || len(check.Entry) != 32 {
		t.Fatalf("%s, %v", text, err)
	}
	args := []string{"gauge", "withdraw", "mic", "--dir", dir, "--entry", check.Entry, "--person", "AB"}
	has(t, ran(t, 0, args...), "no verdict leans on it", "Nothing was stored")
	has(t, ran(t, exitInput, append(args, "--yes")...), "the reason stays with the entry")
	args = append(args, "--reason", "mistyped", "--yes")
	has(t, ran(t, 0, args...), "Withdrawn: "+check.Entry, "entry 5 of the shop's log")
	has(t, ran(t, 0, args...), "withdrawn before, by entry 5")
	var again struct {
		Stored, Again bool
		Sequence      int64
	}
	if err := json.Unmarshal([]byte(ran(t, 0, append(args, "--json")...)), &again); err != nil || !again.Again || again.Sequence != 5 {
		t.Errorf("%+v, %v", again, err)
	}
}
