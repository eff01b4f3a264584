package web

import (
	"embed"
	"net/http"
	"strconv"

	"fettle/internal/show/page"
	"fettle/internal/show/plot"
)

//go:embed static
var scripts embed.FS

// static serves the stylesheet, the type, the icon and the script. Their
// addresses carry a version, so a browser may keep them.
func (s *site) static(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	var body []byte
	kind := ""
	switch name {
	case "fettle.css":
		body, kind = s.pages.CSS(), "text/css; charset=utf-8"
	case "mark.svg":
		body, kind = []byte(page.Icon()), "image/svg+xml"
	case "keys.js":
		text, err := scripts.ReadFile("static/keys.js")
		if err != nil {
			s.fault(w, r, s.reader(r), err)
			return
		}
		body, kind = text, "text/javascript; charset=utf-8"
	default:
		for _, f := range plot.Fonts() {
			if f.Name == name {
				body, kind = f.TTF, "font/ttf"
			}
		}
	}
	if kind == "" {
		s.page(s.nothing)(w, r)
		return
	}
	h := w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Length", strconv.Itoa(len(body)))
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	if kind == "image/svg+xml" { // its style stands inside the file
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'")
	}
	_, _ = w.Write(body)
}
