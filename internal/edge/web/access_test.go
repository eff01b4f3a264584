package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"sort"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"fettle/internal/edge/bench"
)

// axe is the published checker of the Web Content Accessibility Guidelines that
// scripts/setup.sh takes from npm. Without it the test is passed over on a desk
// and fails where CI is set.
func axe(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile("../../../node_modules/axe-core/axe.min.js")
	if errors.Is(err, fs.ErrNotExist) && os.Getenv("CI") == "" {
		t.Skip("axe-core is not installed (scripts/setup.sh does): no page is checked against WCAG")
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// mostOfAKind is how many pages of one kind are looked at.
const mostOfAKind = 2

// kindOf is an address without what names one job, part, position or gauge.
func kindOf(path string) string {
	path, _, _ = strings.Cut(path, "#")
	path, query, _ := strings.Cut(path, "?")
	parts := strings.Split(path, "/")
	for i := 2; i < len(parts); i++ {
		switch parts[i-1] {
		case "job", "gauge", "family", "draft":
			if parts[i] != "new" {
				parts[i] = "*"
			}
		case "part", "correct", "withdraw", "bench", "clean", "transcribe":
			parts[i] = "*"
		case "at":
			return strings.Join(parts[:i], "/") + "/*" + queryKeys(query)
		}
	}
	return strings.Join(parts, "/") + queryKeys(query)
}

var queryValue = regexp.MustCompile(`=[^&]*`)

func queryKeys(q string) string {
	if q == "" {
		return ""
	}
	return "?" + queryValue.ReplaceAllString(q, "")
}

// TestPublishedWCAG walks every kind of page that can be reached from the first
// one and holds each, on paper and as a blueprint, against the rules of levels A
// and AA of the Web Content Accessibility Guidelines 2.0, 2.1 and 2.2 (W3C) that
// axe-core can decide. It finds part of what the guidelines ask; the rest needs
// eyes.
func TestPublishedWCAG(t *testing.T) {
	if testing.Short() {
		t.Skip("short: every page in a browser")
	}
	script := axe(t)
	f := open(t)
	if err := f.bench.BeginDraft("0011223344556677", bench.Start{Base: "corran-24-5", ID: "near-24-5", Name: "Near", Note: "synthetic"}); err != nil {
		t.Fatal(err)
	}
	ctx, base := tab(t, f)
	queue, seen, kinds := []string{"/"}, map[string]bool{"/": true}, map[string]int{}
	for len(queue) > 0 {
		path := queue[0]
		queue = queue[1:]
		kind := kindOf(path)
		if strings.Contains(kind, ".") || strings.HasPrefix(kind, "/api/") { // a file, no page
			continue
		}
		if kinds[kind]++; kinds[kind] > mostOfAKind {
			continue
		}
		do(t, ctx, "open "+path, chromedp.Navigate(base+path))
		for _, l := range ask[[]string](t, ctx, `[...document.querySelectorAll("a[href]")].map(a => new URL(a.getAttribute("href"), location.href)).filter(u => u.origin === location.origin).map(u => u.pathname + u.search)`) {
			if !seen[l] {
				seen[l] = true
				queue = append(queue, l)
			}
		}
		ask[bool](t, ctx, script+";true")
		for _, scheme := range []string{"light", "dark"} {
			inScheme(t, ctx, scheme)
			for _, v := range violations(t, ctx, scheme == "light") {
				t.Errorf("%s (%s): %s", path, scheme, v)
			}
		}
	}
	var names []string
	for k := range kinds {
		names = append(names, k)
	}
	sort.Strings(names)
	t.Logf("%d kinds of page: %s", len(names), strings.Join(names, " "))
	if len(names) < 20 {
		t.Errorf("only %d kinds of page were reached", len(names))
	}
}

func inScheme(t *testing.T, ctx context.Context, scheme string) {
	t.Helper()
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}); err != nil {
		t.Fatal(err)
	}
}

// violations are the rules that a page breaks, each with the first places; all
// rules, or only those that colours decide.
func violations(t *testing.T, ctx context.Context, all bool) []string {
	t.Helper()
	run := `{type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}`
	if !all {
		run = `{type: "rule", values: ["color-contrast", "link-in-text-block"]}`
	}
	got, err := chromedp.Run(ctx, chromedp.Evaluate[string](`axe.run(document, {runOnly: `+run+`, resultTypes: ["violations"]}).then(r => JSON.stringify(r.violations.map(v => ({id: v.id, help: v.help, n: v.nodes.length, at: v.nodes.slice(0, 3).map(n => n.html.slice(0, 160) + " " + (n.any[0]?.message ?? ""))}))))`, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	var list []struct {
		ID, Help string
		N        int
		At       []string
	}
	if err := json.Unmarshal([]byte(got), &list); err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, v := range list {
		out = append(out, fmt.Sprintf("%s: %s, %d places: %s", v.ID, v.Help, v.N, strings.Join(v.At, " | ")))
	}
	return out
}
