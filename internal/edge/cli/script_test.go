package cli

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/know/family/familytest"
)

// TestScripts runs every archive of testdata/script: a text that begins with
// steps, one a line, followed by files, each under a line "-- NAME --". The
// files are laid into an empty folder, and the steps run there in order.
//
//	file NAME from PATH        copy a file of the repository's data folder
//	file NAME grid LAYOUT CYL INLET EXHAUST TRAIN DRIVE   a generated family
//	edit NAME 'OLD' 'NEW'      replace text that stands in the file once or more
//	long NAME 'OLD' N          put N letters x in the place of text
//	zip NAME SIZE              a real archive in which SIZE zero bytes are packed
//	folder NAME                make a folder
//	store NAME PERSON          an empty store that knows one person
//	in NAME                    standard input of the next run
//	run ARGS…                  one command line; 'one word' in single quotes
//	exit N                     its exit code; every run must be followed by one
//	out 'TEXT'  err 'TEXT'     a line of standard output, or error, has the text
//	lines err N                how many lines it has; also lines out N
//	json KEY…                  standard output is JSON, an object with the keys
//	has NAME…  none NAME…      files that are there, and are not
//	same NAME NAME             two files with the same bytes
//	starts NAME 'TEXT'         how a file begins
//
// A line that begins with # is a remark.
func TestScripts(t *testing.T) {
	root, err := filepath.Abs("../../../data")
	if err != nil {
		t.Fatal(err)
	}
	names, err := filepath.Glob("testdata/script/*.txt")
	if err != nil || len(names) == 0 {
		t.Fatal("no scripts", err)
	}
	for _, n := range names {
		text, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(strings.TrimSuffix(filepath.Base(n), ".txt"), func(t *testing.T) {
			steps, files := archive(string(text))
			dir := t.TempDir()
			t.Chdir(dir)
			for name, body := range files {
				put(t, name, []byte(body))
			}
			s := &script{T: t, data: root}
			for i, line := range steps {
				s.line = i + 1
				s.step(cut(line))
			}
			if s.due {
				t.Error("the last run has no exit line")
			}
			if s.runs == 0 {
				t.Error("nothing was run")
			}
		})
	}
}

// archive cuts a text into its steps and its files.
func archive(text string) (steps []string, files map[string]string) {
	files = map[string]string{}
	name := ""
	for _, line := range strings.SplitAfter(text, "\n") {
		if rest, ok := strings.CutPrefix(strings.TrimRight(line, "\n"), "-- "); ok && strings.HasSuffix(rest, " --") {
			name = strings.TrimSuffix(rest, " --")
			files[name] = ""
			continue
		}
		if name == "" {
			steps = append(steps, strings.TrimSpace(line))
		} else {
			files[name] += line
		}
	}
	return steps, files
}

// cut cuts a step at spaces; single quotes keep a word together.
func cut(line string) []string {
	var out []string
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			out = append(out, part)
		} else {
			out = append(out, strings.Fields(part)...)
		}
	}
	return out
}

func put(t *testing.T, name string, body []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, body, 0o644); err != nil {
		t.Fatal(err)
	}
}

type script struct {
	*testing.T
	data     string
	line     int
	in       string
	code     int
	out, err string
	runs     int
	due      bool // an exit line has to follow
}

func (s *script) wrong(format string, args ...any) {
	s.Helper()
	s.Errorf("line %d: "+format+"\nexit %d\nout:\n%serr:\n%s", append(append([]any{s.line}, args...), s.code, clipped(s.out), clipped(s.err))...)
}

func clipped(text string) string {
	if len(text) > 3000 {
		return text[:3000] + "…\n"
	}
	return text
}

func (s *script) read(name string) []byte {
	s.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		s.Fatalf("line %d: %v", s.line, err)
	}
	return b
}

func (s *script) step(w []string) {
	s.Helper()
	if len(w) == 0 || strings.HasPrefix(w[0], "#") {
		return
	}
	if s.due && w[0] != "exit" {
		s.Fatalf("line %d: after run, exit is expected", s.line)
	}
	switch n := len(w) - 1; {
	case w[0] == "file" && n == 3 && w[2] == "from":
		put(s.T, w[1], s.read(filepath.Join(s.data, filepath.FromSlash(w[3]))))
	case w[0] == "file" && n == 8 && w[2] == "grid":
		put(s.T, w[1], familytest.Generate(s.whole(w[4]), s.whole(w[5]), s.whole(w[6]), w[3], w[7], w[8]))
	case w[0] == "edit" && n == 3:
		s.edit(w[1], w[2], w[3])
	case w[0] == "long" && n == 3:
		s.edit(w[1], w[2], strings.Repeat("x", s.whole(w[3])))
	case w[0] == "zip" && n == 2:
		s.zip(w[1], s.whole(w[2]))
	case w[0] == "folder" && n == 1:
		if err := os.MkdirAll(w[1], 0o755); err != nil {
			s.Fatal(err)
		}
	case w[0] == "store" && n == 2:
		s.store(w[1], w[2])
	case w[0] == "in" && n == 1:
		s.in = string(s.read(w[1]))
	case w[0] == "run":
		s.run(w[1:])
	case w[0] == "exit" && n == 1:
		s.due = false
		if s.code != s.whole(w[1]) {
			s.wrong("exit %s expected", w[1])
		}
	case w[0] == "out" && n == 1:
		s.says(s.out, w[1])
	case w[0] == "err" && n == 1:
		s.says(s.err, w[1])
	case w[0] == "lines" && n == 2:
		text := map[string]string{"out": s.out, "err": s.err}[w[1]]
		if got := strings.Count(text, "\n"); got != s.whole(w[2]) {
			s.wrong("%d lines of %s, %s expected", got, w[1], w[2])
		}
	case w[0] == "json":
		s.object(w[1:])
	case w[0] == "has" || w[0] == "none":
		for _, name := range w[1:] {
			if _, err := os.Stat(name); (err == nil) != (w[0] == "has") {
				s.wrong("%s %s: %v", w[0], name, err)
			}
		}
	case w[0] == "same" && n == 2:
		if !bytes.Equal(s.read(w[1]), s.read(w[2])) {
			s.wrong("%s and %s differ", w[1], w[2])
		}
	case w[0] == "starts" && n == 2:
		if !bytes.HasPrefix(s.read(w[1]), []byte(w[2])) {
			s.wrong("%s does not begin with %q", w[1], w[2])
		}
	default:
		s.Fatalf("line %d: no such step: %q", s.line, w)
	}
}

func (s *script) whole(text string) int {
	s.Helper()
	n, err := strconv.Atoi(text)
	if err != nil {
		s.Fatalf("line %d: %v", s.line, err)
	}
	return n
}

func (s *script) edit(name, old, fresh string) {
	s.Helper()
	b := s.read(name)
	if !bytes.Contains(b, []byte(old)) {
		s.Fatalf("line %d: %q does not stand in %s", s.line, old, name)
	}
	put(s.T, name, bytes.ReplaceAll(b, []byte(old), []byte(fresh)))
}

func (s *script) store(name, person string) {
	s.Helper()
	st, err := store.Open(context.Background(), name, time.Now)
	if err != nil {
		s.Fatal(err)
	}
	defer st.Close()
	e, err := entry.New(entry.ShopStream, entry.Key{15: 1}, entry.PersonKnown, person, "test", 1, shop.PersonV1{Person: person, Initials: person})
	if err == nil {
		_, err = st.Append(context.Background(), []entry.Entry{e})
	}
	if err != nil {
		s.Fatal(err)
	}
}

func (s *script) zip(name string, size int) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.Create("readings.csv")
	if err == nil {
		_, err = w.Write(make([]byte, size))
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		s.Fatal(err)
	}
	put(s.T, name, b.Bytes())
}

func (s *script) run(args []string) {
	var out, err bytes.Buffer
	s.code = Run(World{Args: args, In: strings.NewReader(s.in), Out: &out, Err: &err, Files: os.DirFS(s.data)})
	s.out, s.err, s.in, s.due = out.String(), err.String(), "", true
	s.runs++
}

// says looks for a text within one line.
func (s *script) says(text, want string) {
	s.Helper()
	for _, line := range strings.Split(text, "\n") {
		if strings.Contains(line, want) {
			return
		}
	}
	s.wrong("no line has %q", want)
}

func (s *script) object(keys []string) {
	s.Helper()
	var v any
	if err := json.Unmarshal([]byte(s.out), &v); err != nil {
		s.wrong("no JSON: %v", err)
		return
	}
	m, ok := v.(map[string]any)
	for _, k := range keys {
		if _, has := m[k]; !ok || !has {
			s.wrong("no key %q in %s", k, fmt.Sprintf("%.200v", v))
		}
	}
}
