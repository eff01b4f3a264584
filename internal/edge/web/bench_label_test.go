package web

import (
	"regexp"
	"slices"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
)

// A label that is scanned at the bench arms the first open place of its part, by
// the address in its code or by its letters; the label of a key does what the
// key does, and the Enter that a scanner sends behind it nothing more.
func TestBenchTakesLabels(t *testing.T) {
	f := open(t)
	ctx, base := tab(t, f)
	var labels []string
	for _, m := range regexp.MustCompile(`find\?label=([0-9A-Z]{6})`).FindAllStringSubmatch(f.get("/job/2026-014/strip").Body.String(), -1) {
		if !slices.Contains(labels, m[1]) {
			labels = append(labels, m[1])
		}
	}
	do(t, ctx, "open the bench", chromedp.Navigate(base+"/job/2026-014/bench/block?person=p-7a03"))
	until(t, ctx, `document.getElementById("bench")?.dataset.ready === "block"`)
	where := `(document.getElementById("b-name").textContent + document.getElementById("b-where").textContent)`
	do(t, ctx, "go elsewhere", chromedp.SendKeys(chromedp.CSS("#b-value"), "/at block/bore/3/H2/T\r"))
	until(t, ctx, where+`.includes("thrust")`)
	at := ask[string](t, ctx, where)
	moved := map[string]bool{at: true}
	for i, l := range labels[:4] {
		text := base + "/l/2026-014/" + l
		if i%2 == 1 {
			text = l[:5] + "-" + l[5:]
		}
		do(t, ctx, "scan "+text, chromedp.SendKeys(chromedp.CSS("#b-value"), text+"\r"))
		until(t, ctx, where+` !== `+quoted(at))
		at = ask[string](t, ctx, where)
		moved[at] = true
		if v := ask[string](t, ctx, `document.getElementById("b-value").value`); v != "" {
			t.Errorf("after %s the field holds %q", text, v)
		}
	}
	if len(moved) != 5 {
		t.Errorf("four labels led to %v", moved)
	}
	before := ask[string](t, ctx, where)
	do(t, ctx, "scan skip", chromedp.SendKeys(chromedp.CSS("#b-value"), "/2\r"))
	until(t, ctx, where+` !== `+quoted(before))
	skipped := ask[string](t, ctx, where)
	do(t, ctx, "scan back", chromedp.SendKeys(chromedp.CSS("#b-value"), "/1\r"))
	until(t, ctx, where+` === `+quoted(before))
	if skipped == before {
		t.Error("the label of a key did nothing")
	}
	do(t, ctx, "scan nothing known", chromedp.SendKeys(chromedp.CSS("#b-value"), base+"/l/2026-014/AAAAAA\r"))
	until(t, ctx, `document.getElementById("b-say").textContent.includes("AAAAAA")`)
}

// quoted is a text as a script writes it.
func quoted(s string) string { return strconv.Quote(s) }
