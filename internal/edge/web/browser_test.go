package web

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// browser finds a Chromium: FETTLE_BROWSER, or one on the path. Without one the
// test is passed over on a desk and fails where CI is set.
func browser(t *testing.T) string {
	t.Helper()
	if b := os.Getenv("FETTLE_BROWSER"); b != "" {
		return b
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			return p
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatal("no Chromium: set FETTLE_BROWSER or put chromium on the path")
	}
	t.Skip("no Chromium on the path and FETTLE_BROWSER is not set: the browser test is passed over")
	return ""
}

// tab starts a browser at a served site.
func tab(t *testing.T, f *shopFloor) (ctx context.Context, base string) {
	t.Helper()
	chromium := browser(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	srv := Server(f.h)
	go func() { _ = srv.Serve(l) }()
	t.Cleanup(func() { srv.Close() })
	limit, stop := context.WithTimeout(context.Background(), 4*time.Minute)
	t.Cleanup(stop)
	alloc, free := chromedp.NewExecAllocator(limit, append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()))...)
	t.Cleanup(free)
	ctx, end := chromedp.NewContext(alloc)
	t.Cleanup(end)
	return ctx, "http://" + l.Addr().String()
}

func do(t *testing.T, ctx context.Context, what string, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
}

func ask[T any](t *testing.T, ctx context.Context, expr string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expr))
	if err != nil {
		t.Fatalf("%s: %v", expr, err)
	}
	return v
}

// until waits for an expression to be true; while a page is being left there is
// nothing to ask.
func until(t *testing.T, ctx context.Context, expr string) {
	t.Helper()
	var err error
	for end := time.Now().Add(10 * time.Second); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		var ok bool
		if ok, err = chromedp.Run(ctx, chromedp.Evaluate[bool](expr)); ok && err == nil {
			return
		}
	}
	t.Fatalf("not so after 10 s: %s (%v)", expr, err)
}

// TestBench goes the way of a person at the bench, by keyboard: engine, part,
// position, reading, and the verdict that changes.
func TestBench(t *testing.T) {
	f := open(t)
	ctx, base := tab(t, f)
	do(t, ctx, "open the job", chromedp.Navigate(base+"/job/2026-014"))
	ask[bool](t, ctx, `document.querySelector('.drawing svg a[href$="/part/block"]').focus() || true`)
	do(t, ctx, "follow the block", chromedp.KeyEvent(kb.Enter))
	until(t, ctx, `location.pathname.endsWith("/part/block") && document.readyState === "complete"`)

	// From place to place with the arrow keys.
	ask[bool](t, ctx, `document.querySelector('.drawing svg a[href*="/at/block/bore/2/H2/T"]').focus() || true`)
	from := ask[string](t, ctx, `document.activeElement.getAttribute("href")`)
	do(t, ctx, "arrow", chromedp.KeyEvent(kb.ArrowRight))
	to := ask[string](t, ctx, `document.activeElement.getAttribute("href")`)
	if to == from || !strings.Contains(to, "/at/block/") {
		t.Errorf("the arrow key went from %s to %s", from, to)
	}

	do(t, ctx, "open a state that nobody measured", chromedp.Navigate(base+bore+"?state=after(hone)"))
	before := ask[string](t, ctx, `document.querySelector(".verdict .plate").className`)
	for field, v := range map[string]string{"gauge": "bore-50-150", "master": "mic-75-100", "person": "p-7a03"} {
		if got := ask[string](t, ctx, fmt.Sprintf(`(document.querySelector('form.reading [name=%s]').value = %q, document.querySelector('form.reading [name=%s]').value)`, field, v, field)); got != v {
			t.Fatalf("the form offers no %s %s", field, v)
		}
	}
	ask[bool](t, ctx, `document.querySelectorAll('form.reading [name=condition]').forEach(c => c.checked = true) || true`)
	do(t, ctx, "type a reading with the comma", chromedp.SendKeys(chromedp.CSS("#f-value"), "983,30\r"))
	until(t, ctx, `document.querySelector("#bad-value") !== null`)
	if got := ask[string](t, ctx, `document.querySelector("#f-value").value`); got != "983,30" {
		t.Errorf("the refused form shows %q instead of what was typed", got)
	}
	ask[bool](t, ctx, `(document.querySelector("#f-value").value = "") === ""`)
	do(t, ctx, "type it again", chromedp.SendKeys(chromedp.CSS("#f-value"), "983.30\r"))
	until(t, ctx, `document.querySelector(".notice[role=status]") !== null`)
	if said := ask[string](t, ctx, `document.querySelector(".notice").textContent`); !strings.Contains(said, "983.30") {
		t.Errorf("the page says %q", said)
	}
	if after := ask[string](t, ctx, `document.querySelector(".verdict .plate").className`); before != "plate unmeasured" || after != "plate reject" {
		t.Errorf("the verdict was %q and is %q", before, after)
	}
	if far := ask[int](t, ctx, `performance.getEntriesByType("resource").filter(e => !e.name.startsWith(location.origin)).length`); far != 0 {
		t.Errorf("%d requests left the site", far)
	}
	if !ask[bool](t, ctx, `document.fonts.check("16px Go") && [...document.fonts].some(f => f.status === "loaded")`) {
		t.Error("the house's type was not loaded")
	}
	noSideways(t, ctx, base)
	shots(t, ctx, base)
}

// noSideways holds every page to the width of a phone: tables may scroll, the
// page may not (WCAG 2.2, 1.4.10).
func noSideways(t *testing.T, ctx context.Context, base string) {
	t.Helper()
	for _, w := range []int64{320, 800} {
		do(t, ctx, "resize", chromedp.EmulateViewport(w, 900))
		for _, p := range looked() {
			do(t, ctx, p, chromedp.Navigate(base+p))
			if over := ask[int](t, ctx, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("%s is %d px too wide for a window of %d px", p, over, w)
			}
		}
	}
}

func looked() []string {
	return []string{"/", "/job/2026-014", "/job/2026-014/part/block", "/job/2026-014/part/valve", "/job/2026-014/at/block/bore/5/H2/T",
		"/job/2026-014/findings", "/job/2026-014/targets", "/job/2026-014/questions", "/legend", "/family/corran-24-5", "/import", "/reader"}
}

// shots writes pictures of the pages to FETTLE_SHOTS, to be looked at.
func shots(t *testing.T, ctx context.Context, base string) {
	dir := os.Getenv("FETTLE_SHOTS")
	if dir == "" {
		return
	}
	for _, size := range [][2]int64{{1280, 800}, {800, 1280}, {390, 844}} {
		do(t, ctx, "resize", chromedp.EmulateViewport(size[0], size[1]))
		for _, scheme := range []string{"light", "dark"} {
			if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
				Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}); err != nil {
				t.Fatal(err)
			}
			for _, p := range looked() {
				do(t, ctx, p, chromedp.Navigate(base+p))
				png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
				if err != nil {
					t.Fatal(err)
				}
				name := fmt.Sprintf("%s-%d-%s.png", strings.Trim(strings.ReplaceAll(p, "/", "_"), "_"), size[0], scheme)
				if err := os.WriteFile(filepath.Join(dir, "shot-"+name), png, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}
