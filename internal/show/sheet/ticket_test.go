package sheet

import (
	"bytes"
	"strings"
	"testing"
)

// Law: a ticket is a PDF of whole sheets, the same bytes from the same input, and
// names what it is for.
func TestTicket(t *testing.T) {
	in := demoInput(t, "2026-014", "en")
	c, r := in.Case, in.Reader
	v, ok := c.TicketPage(r, "block", nil)
	if !ok || len(v.Steps) == 0 || len(v.Steps[0].Cuts) == 0 {
		t.Fatalf("no ticket for the block: %+v", v.Steps)
	}
	for _, row := range v.Steps[0].Cuts[0].Rows {
		if row.From == "" || row.To == "" || len(row.Boxes) != 6 {
			t.Errorf("%+v", row)
		}
	}
	if _, ok := c.TicketPage(r, "kitchen", nil); ok {
		t.Error("a ticket for a stage that is none")
	}
	one, err := Ticket(Input{Case: c, Reader: r, Program: "fettle test"}, &v)
	if err != nil || !bytes.HasPrefix(one, []byte("%PDF")) {
		t.Fatal(err)
	}
	two, _ := Ticket(Input{Case: c, Reader: r, Program: "fettle test"}, &v)
	if !bytes.Equal(one, two) {
		t.Error("the same ticket twice is not the same file")
	}
	if !strings.Contains(v.Title, v.Stage) {
		t.Errorf("title %q", v.Title)
	}
}
