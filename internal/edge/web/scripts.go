package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/show/plot"
)

// scripted are the scripts of the bench page. They stand in a folder named
// after all their bytes, so that a browser that has one has the others of the
// same make, and may keep them.
type scripted struct {
	version string
	files   map[string][]byte
	worker  []byte
}

// workerFile stands at the root, for a worker rules what lies below it.
const workerFile = "worker.js"

// newScripts reads them and makes the worker, which is told what to keep.
func newScripts(styles string) (scripted, error) {
	s := scripted{files: map[string][]byte{}}
	names, err := fs.Glob(scripts, "static/*.js")
	if err != nil {
		return s, err
	}
	slices.Sort(names)
	sum := sha256.New()
	for _, n := range names {
		b, err := fs.ReadFile(scripts, n)
		if err != nil {
			return s, err
		}
		s.files[path.Base(n)] = b
		sum.Write([]byte(n))
		sum.Write(b)
	}
	s.version = hex.EncodeToString(sum.Sum(nil)[:8])
	shell := []string{"/static/fettle.css?" + styles, "/static/keys.js?" + styles, "/static/mark.svg"}
	for _, f := range plot.WebFonts() {
		shell = append(shell, "/static/"+f.Name)
	}
	for name := range s.files {
		if name != workerFile && name != "keys.js" {
			shell = append(shell, "/static/s/"+s.version+"/"+name)
		}
	}
	slices.Sort(shell)
	list, err := json.Marshal(shell)
	if err != nil {
		return s, err
	}
	s.worker = []byte("const VERSION = " + strconv.Quote(s.version+"-"+styles) + ";\nconst SHELL = " + string(list) + ";\n" + string(s.files[workerFile]))
	return s, nil
}

// script serves one of them; an old address leads nowhere, for what it named
// is gone.
func (s *site) script(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	body, ok := s.scripts.files[name]
	if !ok || name == workerFile || r.PathValue("version") != s.scripts.version || strings.Contains(name, "/") {
		s.page(s.nothing)(w, r)
		return
	}
	s.javascript(w, body, "public, max-age=31536000, immutable")
}

// workerScript serves the worker. A browser asks for it anew each time.
func (s *site) workerScript(w http.ResponseWriter, _ *http.Request) {
	s.javascript(w, s.scripts.worker, "no-cache")
}

func (s *site) javascript(w http.ResponseWriter, body []byte, keep string) {
	h := w.Header()
	h.Set("Content-Type", "text/javascript; charset=utf-8")
	h.Set("Content-Length", strconv.Itoa(len(body)))
	h.Set("Cache-Control", keep)
	_, _ = w.Write(body) // a client that has gone cannot be told
}
