package main

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
)

// stream writes events as go test -json does.
func stream(events ...event) string {
	var b strings.Builder
	for _, e := range events {
		line, err := json.Marshal(e)
		if err != nil {
			panic(err)
		}
		b.Write(line)
		b.WriteByte('\n')
	}
	return b.String()
}

func test(action, name string) event { return event{Action: action, Package: "p", Test: name} }

func said(name, line string) event {
	return event{Action: "output", Package: "p", Test: name, Output: line}
}

func TestReadCounts(t *testing.T) {
	end := func(action string) event { return event{Action: action, Package: "p", Elapsed: 1.25} }
	for _, c := range []struct {
		name   string
		in     string
		want   Counts
		prints []string
		silent []string
	}{
		{
			name:   "two that pass",
			in:     stream(test("run", "TestA"), test("pass", "TestA"), test("run", "TestB"), test("pass", "TestB"), end("pass")),
			want:   Counts{Passed: 2},
			prints: []string{"ok\tp\t1.2s\t2 passed"},
		},
		{
			name: "a roof is not counted beside its subtests",
			in: stream(test("run", "TestA"), test("run", "TestA/x"), test("run", "TestA/y"),
				test("pass", "TestA/x"), test("pass", "TestA/y"), test("pass", "TestA"), end("pass")),
			want: Counts{Passed: 2},
		},
		{
			name: "a subtest that fails counts once",
			in: stream(test("run", "TestA"), test("run", "TestA/x"), said("TestA/x", "    got 3, want 4\n"),
				test("fail", "TestA/x"), test("fail", "TestA"), end("fail")),
			want:   Counts{Failed: 1},
			prints: []string{"got 3, want 4", "FAIL\tp"},
		},
		{
			name: "a roof that fails by itself counts",
			in: stream(test("run", "TestA"), test("run", "TestA/x"), test("pass", "TestA/x"),
				said("TestA", "    left a file open\n"), test("fail", "TestA"), end("fail")),
			want:   Counts{Passed: 1, Failed: 1},
			prints: []string{"left a file open"},
		},
		{
			name: "what passed stays quiet when its neighbour fails",
			in: stream(test("run", "TestA"), said("TestA", "chatter\n"), test("pass", "TestA"),
				test("run", "TestB"), test("fail", "TestB"), end("fail")),
			want:   Counts{Passed: 1, Failed: 1},
			silent: []string{"chatter"},
		},
		{
			name:   "a skip gives its reason",
			in:     stream(test("run", "TestA"), said("TestA", "    a_test.go:3: no browser\n"), test("skip", "TestA"), end("pass")),
			want:   Counts{Skipped: 1},
			prints: []string{"skip\tTestA: a_test.go:3: no browser"},
		},
		{
			name:   "a package that panics outside a test",
			in:     stream(said("", "panic: in init\n"), end("fail")),
			want:   Counts{Failed: 1},
			prints: []string{"panic: in init"},
		},
		{
			name: "a package that does not compile",
			in: stream(event{Action: "build-output", ImportPath: "p [p.test]", Output: "p.go:3: undefined: x\n"},
				event{Action: "build-fail", ImportPath: "p [p.test]"},
				event{Action: "fail", Package: "p", FailedBuild: "p [p.test]"}),
			want:   Counts{Failed: 1},
			prints: []string{"undefined: x"},
		},
		{
			name:   "a package without tests is not mentioned",
			in:     stream(said("", "?   \tp\t[no test files]\n"), end("skip")),
			silent: []string{"p"},
		},
		{
			name:   "a cached package says so",
			in:     stream(test("run", "TestA"), test("pass", "TestA"), said("", "ok  \tp\t(cached)\n"), end("pass")),
			want:   Counts{Passed: 1},
			prints: []string{"(cached)"},
		},
		{
			name:   "a line that is not JSON is passed on",
			in:     "go: no such package\n",
			prints: []string{"go: no such package"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out bytes.Buffer
			got, err := Read(strings.NewReader(c.in), &out)
			if err != nil {
				t.Fatal(err)
			}
			if got != c.want {
				t.Errorf("counts %+v, want %+v", got, c.want)
			}
			for _, want := range c.prints {
				if !strings.Contains(out.String(), want) {
					t.Errorf("%q is missing from:\n%s", want, &out)
				}
			}
			for _, not := range c.silent {
				if strings.Contains(out.String(), not) {
					t.Errorf("%q should not stand in:\n%s", not, &out)
				}
			}
		})
	}
}

func TestReadRefusesABrokenStream(t *testing.T) {
	var out bytes.Buffer
	_, err := Read(strings.NewReader(stream(test("run", "TestA"))), &out)
	if err == nil || !strings.Contains(err.Error(), "still runs") {
		t.Fatalf("a stream that breaks off gave %v", err)
	}
}
