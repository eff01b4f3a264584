package gallery

import (
	"io"
	"strings"

	"fettle/internal/show/view"
)

// seeing are the pages on which something seen is noted: unfolded, stored, refused.
func (g *gallery) seeing(en, de view.Reader, c *view.Case) {
	key := strings.Repeat("0", 31) + "5"
	fresh, ok := c.PartPage(en, "shell-pin", "", c.SeenFormFor(en, "shell-pin", key, view.Noticed{Where: "shell-pin/4/upper", Open: true}, nil))
	if !ok || len(fresh.Seen) == 0 {
		g.t.Fatal("nothing was seen on the big end shells of the demonstration")
	}
	for i := range c.Job.Lines {
		if l := &c.Job.Lines[i]; l.Seen > 0 && c.Job.Observations[l.Seen-1].Kind == "to-copper" {
			fresh.Notice = c.Stored(en, l.Seq, "")
		}
	}
	if !strings.Contains(fresh.Notice, "Evidence to take") {
		g.t.Errorf("the notice does not say which evidence to take: %q", fresh.Notice)
	}
	g.add("seen-stored", "en", func(w io.Writer) error { return g.p.Part(w, fresh) })
	n := view.Noticed{Where: "block@cyl/3", Kind: "scored", Absent: true, Saw: strings.Repeat("sehr viele Worte ", 30), Person: "p-5c1e"}
	bad, _ := c.PartPage(de, "block", "", c.SeenFormFor(de, "block", key, n, map[string][]string{
		"severity": {de.T("bench.how-bad")}, "saw": {de.T("bench.too-long", "found", "510", "most", "400")}, "": {de.T("bench.other-content")}}))
	g.add("seen-refused-de", "de", func(w io.Writer) error { return g.p.Part(w, bad) })
}
