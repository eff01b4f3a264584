package entry

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fettle/internal/base/fault"
)

// example is the two rows that doc/format/log.md works through.
func example(t testing.TB) []Row {
	t.Helper()
	k1, err1 := ParseKey("00112233445566778899aabbccddeeff")
	k2, err2 := ParseKey("ffeeddccbbaa99887766554433221100")
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	type fields = map[string]string
	e1, err1 := New(JobStream("1042"), k1, JobOpened, "p-7f3a", "bench-2", 1700000000000000,
		fields{"job": "1042", "title": "Café racer, top end", "family": "corran-24-5", "digest": strings.Repeat("ab", 32)})
	e2, err2 := New(JobStream("1042"), k2, Reading, "p-7f3a", "bench-2", 1700000060000000,
		fields{"position": "block/bore/4/H2/T", "state": "found", "typed": "83,012", "value": "83.012", "unit": "mm",
			"gauge": "g-14", "part_temp": "20.5"})
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	rows := []Row{{Entry: e1, Seq: 1, Received: 1700000000250000}, {Entry: e2, Seq: 2, Received: 1700000060120000}}
	link(rows)
	return rows
}

// link gives rows their hashes as a store does.
func link(rows []Row) {
	var prev Hash
	for i := range rows {
		rows[i].Prev = prev
		rows[i].Hash = rows[i].Digest()
		prev = rows[i].Hash
	}
}

// Law: the two digests were worked out by another program (Python's hashlib, and
// sha256sum for the first) from the description in doc/format/log.md, which
// prints the same bytes and digests.
func TestDigestOfTheExample(t *testing.T) {
	doc, err := os.ReadFile("../../../doc/format/log.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := example(t)
	for i, want := range []string{
		"2943e1a3636b78293c9b75ad1f7ffcf5d96a7532a865e8f81134e567c41570cd",
		"4f0afe35dff3f9be70ac8503853f006ca9da729bc8b10ccb2b31f247de30cb31",
	} {
		if got := rows[i].Hash.String(); got != want {
			t.Errorf("row %d: digest %s, want %s", i+1, got, want)
		}
		if !strings.Contains(string(doc), want) || !strings.Contains(string(doc), string(rows[i].Bytes())) {
			t.Errorf("row %d: doc/format/log.md does not print these bytes and this digest:\n%s\n%s", i+1, rows[i].Bytes(), want)
		}
	}
	if rows[1].Hash.Short() != "4f0afe35dff3" {
		t.Errorf("short form %s", rows[1].Hash.Short())
	}
}

// Law: the format page names every reserved kind.
func TestEveryKindIsDescribed(t *testing.T) {
	doc, err := os.ReadFile("../../../doc/format/log.md")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[Kind]bool{}
	for _, k := range Kinds() {
		if seen[k] {
			t.Errorf("%s is listed twice", k)
		}
		seen[k] = true
		if !strings.Contains(string(doc), "\n| "+string(k)+" |") {
			t.Errorf("doc/format/log.md has no line for %q", k)
		}
	}
}

// Law: two different rows never have the same bytes, whatever stands in their
// fields; nor do fields that run into each other.
func TestBytesAreUnambiguous(t *testing.T) {
	a, b := example(t)[1], example(t)[1]
	a.Person, a.Device = "p-1\n1:x", "y"
	b.Person, b.Device = "p-1", "1:x\ny"
	if string(a.Bytes()) == string(b.Bytes()) {
		t.Error("a line feed in a field moves it into the next")
	}
	word := rapid.StringOfN(rapid.RuneFrom([]rune("a1:\n")), 0, 4, -1)
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) Row {
			return Row{Entry: Entry{Stream: word.Draw(t, name+" stream"), Kind: Kind(word.Draw(t, name+" kind")),
				Person: word.Draw(t, name+" person"), Device: word.Draw(t, name+" device"), Payload: []byte(word.Draw(t, name+" payload"))}}
		}
		a, b := draw("a"), draw("b")
		same := a.Stream == b.Stream && a.Kind == b.Kind && a.Person == b.Person && a.Device == b.Device && string(a.Payload) == string(b.Payload)
		if same != (string(a.Bytes()) == string(b.Bytes())) {
			t.Fatalf("same %v, but bytes %q and %q", same, a.Bytes(), b.Bytes())
		}
	})
}

// Law: each field of a row is under its digest, and each but Seq and Received,
// which the store gives, is part of being the same fact.
func TestDigestCoversEveryField(t *testing.T) {
	for name, change := range map[string]func(*Row){
		"stream":   func(r *Row) { r.Stream = "job/1043" },
		"seq":      func(r *Row) { r.Seq++ },
		"key":      func(r *Row) { r.Key[15]++ },
		"kind":     func(r *Row) { r.Kind = Correction },
		"version":  func(r *Row) { r.Version++ },
		"person":   func(r *Row) { r.Person = "p-2" },
		"device":   func(r *Row) { r.Device = "" },
		"time":     func(r *Row) { r.Time++ },
		"received": func(r *Row) { r.Received++ },
		"payload":  func(r *Row) { r.Payload = append([]byte(nil), r.Payload...); r.Payload[12] ^= 1 },
		"prev":     func(r *Row) { r.Prev[0] ^= 1 },
	} {
		was, r := example(t)[1], example(t)[1]
		change(&r)
		if r.Digest() == was.Digest() {
			t.Errorf("%s is not under the digest", name)
		}
		if stores := name == "seq" || name == "received" || name == "prev"; was.Same(&r.Entry) != stores {
			t.Errorf("%s: same fact %v, want %v", name, !stores, stores)
		}
	}
}

func TestChain(t *testing.T) {
	rows := example(t)
	if head, err := Chain(rows); err != nil || head != rows[1].Hash {
		t.Errorf("sound chain: %v, %v", head, err)
	}
	if head, err := Chain(nil); err != nil || head != (Hash{}) {
		t.Errorf("empty chain: %v, %v", head, err)
	}
	for name, c := range map[string]struct {
		harm func([]Row) []Row
		key  string
	}{
		"payload changed":      {func(r []Row) []Row { r[0].Payload[3] ^= 1; return r }, "entry.chain"},
		"first row gone":       {func(r []Row) []Row { return r[1:] }, "entry.gap"},
		"rows exchanged":       {func(r []Row) []Row { return []Row{r[1], r[0]} }, "entry.gap"},
		"row twice":            {func(r []Row) []Row { return []Row{r[0], r[0]} }, "entry.gap"},
		"changed and rehashed": {func(r []Row) []Row { r[0].Person = "p-2"; r[0].Hash = r[0].Digest(); return r }, "entry.chain"},
		"renumbered":           {func(r []Row) []Row { r[1].Seq = 1; return r[1:] }, "entry.chain"},
		"another stream":       {func(r []Row) []Row { r[1].Stream = "shop"; return r }, "entry.mixed-streams"},
	} {
		if _, err := Chain(c.harm(example(t))); key(err) != c.key {
			t.Errorf("%s: got %v, want %s", name, err, c.key)
		}
	}
}

func TestCheck(t *testing.T) {
	good := example(t)[1].Entry
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		harm func(*Entry)
		key  string
	}{
		"no stream":             {func(e *Entry) { e.Stream = "" }, "entry.bad-stream"},
		"no job id":             {func(e *Entry) { e.Stream = "job/" }, "entry.bad-stream"},
		"id with a slash":       {func(e *Entry) { e.Stream = "job/a/b" }, "entry.bad-stream"},
		"id with a space":       {func(e *Entry) { e.Stream = "job/a b" }, "entry.bad-stream"},
		"id too long":           {func(e *Entry) { e.Stream = "job/" + strings.Repeat("x", 65) }, "entry.bad-stream"},
		"no key":                {func(e *Entry) { e.Key = Key{} }, "entry.no-key"},
		"no kind":               {func(e *Entry) { e.Kind = "" }, "entry.no-kind"},
		"kind with a tab":       {func(e *Entry) { e.Kind = "read\ting" }, "entry.bad-name"},
		"version 0":             {func(e *Entry) { e.Version = 0 }, "entry.bad-version"},
		"long person":           {func(e *Entry) { e.Person = strings.Repeat("p", 129) }, "entry.bad-name"},
		"device no text":        {func(e *Entry) { e.Device = "\xff" }, "entry.bad-name"},
		"no time":               {func(e *Entry) { e.Time = 0 }, "entry.no-time"},
		"too large":             {func(e *Entry) { e.Payload = []byte(`{"a":"` + strings.Repeat("a", 1<<20) + `"}`) }, "entry.too-large"},
		"not JSON":              {func(e *Entry) { e.Payload = []byte("{") }, "entry.not-json"},
		"empty":                 {func(e *Entry) { e.Payload = nil }, "entry.not-json"},
		"two values":            {func(e *Entry) { e.Payload = []byte("{}{}") }, "entry.not-json"},
		"a list":                {func(e *Entry) { e.Payload = []byte("[]") }, "entry.not-canonical"},
		"a space":               {func(e *Entry) { e.Payload = []byte(`{"a": 1}`) }, "entry.not-canonical"},
		"names out of order":    {func(e *Entry) { e.Payload = []byte(`{"b":1,"a":1}`) }, "entry.not-canonical"},
		"a needless escape":     {func(e *Entry) { e.Payload = []byte(`{"a":"\u0041"}`) }, "entry.not-canonical"},
		"a fraction":            {func(e *Entry) { e.Payload = []byte(`{"a":1.5}`) }, "entry.float"},
		"a name standing twice": {func(e *Entry) { e.Payload = []byte(`{"a":1,"a":1}`) }, "entry.name-twice"},
	} {
		e := good
		c.harm(&e)
		if err := e.Check(); key(err) != c.key {
			t.Errorf("%s: got %v, want %s", name, err, c.key)
		}
	}
	unknown := good
	unknown.Kind, unknown.Version = "polished", 7
	if err := unknown.Check(); err != nil {
		t.Errorf("a kind of a later release: %v", err)
	}
}

func TestParseKey(t *testing.T) {
	k, err := ParseKey("00112233445566778899AABBCCDDEEFF")
	if err != nil || k.String() != "00112233445566778899aabbccddeeff" {
		t.Errorf("got %v, %v", k, err)
	}
	for _, s := range []string{"", "0011", strings.Repeat("g", 32), strings.Repeat("0", 34)} {
		if _, err := ParseKey(s); key(err) != "entry.bad-key" {
			t.Errorf("%q: got %v", s, err)
		}
	}
}

// FuzzCheck: whatever bytes come as a payload, Check answers without a panic,
// and what it accepts is its own canonical form.
func FuzzCheck(f *testing.F) {
	f.Add([]byte(`{"a":"\ud83d\ude00"}`))
	f.Add([]byte(`{"a":[1,{"b":null}]}`))
	f.Add([]byte("{\"\\u"))
	f.Fuzz(func(t *testing.T, payload []byte) {
		e := Entry{Stream: ShopStream, Key: Key{1}, Kind: Remark, Version: 1, Time: 1, Payload: payload}
		err := e.Check()
		if err != nil {
			if _, ok := err.(*fault.Fault); !ok {
				t.Fatalf("%T: %v", err, err)
			}
			return
		}
		again, err := Canonical(json.RawMessage(payload))
		if err != nil || string(again) != string(payload) {
			t.Fatalf("%q accepted, but its canonical form is %q, %v", payload, again, err)
		}
	})
}
