package page

import (
	"io/fs"
	"regexp"
	"strings"
	"testing"
)

// TestStylesTakeTheirColoursFromThePalette: every colour is a property of the
// palette, whose contrast is measured where it is defined; a colour written
// into a page's own style would escape that.
func TestStylesTakeTheirColoursFromThePalette(t *testing.T) {
	names, err := fs.Glob(files, "*.css")
	if err != nil || len(names) < 5 {
		t.Fatalf("%d stylesheets, %v", len(names), err)
	}
	colour := regexp.MustCompile(`#[0-9a-fA-F]{3,8}\b|\b(rgb|hsl|lab|lch|oklch|color)\(|:\s*(red|blue|green|black|white|gray|grey|yellow|orange)\b`)
	known := regexp.MustCompile(`--(ground|pen|thin|faint|accent|tint|in|in-on|undecided|undecided-on|undecided-edge|out|out-on|unmeasured|unmeasured-on)$`)
	for _, n := range names {
		text, err := fs.ReadFile(files, n)
		if err != nil {
			t.Fatal(err)
		}
		if m := colour.FindString(string(text)); m != "" {
			t.Errorf("%s has a colour of its own: %s", n, m)
		}
		for _, m := range regexp.MustCompile(`var\((--[a-z-]+)\)`).FindAllStringSubmatch(string(text), -1) {
			if !known.MatchString(m[1]) {
				t.Errorf("%s uses %s, which is no ink", n, m[1])
			}
		}
		for _, far := range []string{"http:", "https:", "//", "@import", "url("} {
			if i := strings.Index(regexp.MustCompile(`(?s)/\*.*?\*/`).ReplaceAllString(string(text), ""), far); i >= 0 {
				t.Errorf("%s fetches something: %s", n, far)
			}
		}
	}
}

// TestTextIsNeverSetInAPaleInk: faint is for hairlines and tint for grounds;
// neither carries text (WCAG 2.2, 1.4.3).
func TestTextIsNeverSetInAPaleInk(t *testing.T) {
	names, _ := fs.Glob(files, "*.css")
	for _, n := range names {
		text, err := fs.ReadFile(files, n)
		if err != nil {
			t.Fatal(err)
		}
		if m := regexp.MustCompile(`[{;]color:var\(--(faint|tint|undecided|ground)\)`).FindString(string(text)); m != "" {
			t.Errorf("%s sets text in %s", n, m)
		}
	}
}
