package web

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// TestBenchPictures writes pictures of the bench page to FETTLE_SHOTS, to be
// looked at: three sizes, both grounds, with the worst that may stand there.
func TestBenchPictures(t *testing.T) {
	dir := os.Getenv("FETTLE_SHOTS")
	if dir == "" {
		t.Skip("FETTLE_SHOTS names no folder for pictures")
	}
	f := open(t)
	ctx, base := tab(t, f)
	n := 0
	for _, size := range [][2]int64{{1280, 800}, {800, 1280}, {390, 844}} {
		do(t, ctx, "resize", chromedp.EmulateViewport(size[0], size[1]))
		for _, scheme := range []string{"light", "dark"} {
			if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
				Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}); err != nil {
				t.Fatal(err)
			}
			for _, p := range []string{"block", "valve", "head-bolt"} {
				do(t, ctx, p, chromedp.Navigate(base+"/job/2026-014/bench/"+p+"?person=p-7a03"))
				until(t, ctx, `document.getElementById("bench")?.dataset.ready !== undefined`)
				if n++; p == "block" {
					do(t, ctx, "go", chromedp.SendKeys(chromedp.CSS("#b-value"), "/at block/bore/3/H2/T\r"))
					do(t, ctx, "type", chromedp.SendKeys(chromedp.CSS("#b-value"), fmt.Sprintf("%d.012\r", 38+n)))
					until(t, ctx, `document.getElementById("bench").dataset.asks > 0`)
					do(t, ctx, "type", chromedp.SendKeys(chromedp.CSS("#b-value"), "/0"+"83.0"))
				}
				time.Sleep(200 * time.Millisecond)
				for _, pad := range []bool{false, true} {
					if pad {
						ask[bool](t, ctx, `document.getElementById("bench").classList.add("padded") || true`)
					}
					png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
					if err != nil {
						t.Fatal(err)
					}
					if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("bench-%s-%d-%s-%v.png", p, size[0], scheme, pad)), png, 0o600); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
	}
}
