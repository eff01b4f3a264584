package web

import (
	"embed"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/show/page"
	"fettle/internal/show/plot"
)

//go:embed static
var scripts embed.FS

// has says whether a file of that name belongs to a page without scripts.
func (s *site) has(name string) bool {
	if name == "fettle.css" || name == "mark.svg" {
		return true
	}
	return slices.ContainsFunc(plot.Fonts(), func(f plot.Face) bool { return f.Name == name })
}

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
	case "door.js", "slide.js": // their addresses have no version
		s.javascript(w, s.scripts.files[name], "no-cache")
		return
	default:
		if text, err := scripts.ReadFile("static/" + name); err == nil && strings.HasSuffix(name, ".js") {
			body, kind = text, "text/javascript; charset=utf-8"
		}
		for _, f := range plot.WebFonts() {
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
