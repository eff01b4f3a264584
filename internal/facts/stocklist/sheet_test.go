package stocklist

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettle/internal/base/fault"
	"fettle/internal/facts/shop"
)

// Law: the shelf of the demonstration is one: some 400 pieces for both of its
// families, from three suppliers who ask prices. Synthetic.
func TestDemoShelf(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "data", "demo", "shelf.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows, mark, faults := CSV("shelf.csv", text)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	said, faults := Read("shelf.csv", rows, mark)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	pieces, suppliers, priced := map[string]int{}, 0, map[string]int{}
	for _, s := range said {
		switch p := s.Payload.(type) {
		case shop.LotV1:
			pieces[p.Sort.Family] += p.Count
		case shop.SupplierV1:
			suppliers++
		case shop.PriceV1:
			priced[p.Supplier]++
		}
	}
	if n := pieces["corran-24-5"] + pieces["tarn-32-6"]; n < 380 || n > 450 || pieces["corran-24-5"] < 150 || pieces["tarn-32-6"] < 150 {
		t.Errorf("%v pieces", pieces)
	}
	if suppliers != 3 || len(priced) != 3 {
		t.Errorf("%d suppliers, prices %v", suppliers, priced)
	}
}

func keys(l fault.List) string {
	var out []string
	for _, f := range l {
		out = append(out, f.Key)
	}
	return strings.Join(out, " ")
}

// Law: what cannot be a sheet says why, at its place. Synthetic.
func TestSheetRefused(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"no first line":   {"row,lot\nlot,a\n", "shelf.first-line"},
		"no text":         {"# fettle shelf 1\n\xff\xfe", "shelf.not-text"},
		"nothing in it":   {"# fettle shelf 1\nrow,lot\n", "shelf.empty"},
		"unknown column":  {"# fettle shelf 1\nrow,colour\nlot,a\n", "shelf.column shelf.no-header"},
		"a column twice":  {"# fettle shelf 1\nrow,lot,lot\nlot,a,b\n", "shelf.column-twice shelf.no-header"},
		"no column row":   {"# fettle shelf 1\nlot\na\n", "shelf.no-row-column"},
		"an open quote":   {"# fettle shelf 1\nrow,lot\nlot,\"a\n", "shelf.quotes"},
		"wrong delimiter": {"# fettle shelf 1\n# delimiter: pipe\nrow,lot\nlot,a\n", "shelf.declared"},
	} {
		if _, _, faults := CSV("x.csv", []byte(c.text)); keys(faults) != c.want {
			t.Errorf("%s: %s, want %s", name, keys(faults), c.want)
		}
	}
}

// Law: a file of a country with a decimal comma says the same as one with a
// point, and faults name the line they are on. Synthetic.
func TestSheetOfAnotherCountry(t *testing.T) {
	text := "\ufeff# fettle shelf 1\r\n# delimiter: semicolon\r\n# decimal: comma\r\nrow;lot;kind;size;count;piece;measure;value;unit;gauge;price\r\n" +
		"lot;a;shim;2,48 mm;2;;;;;;\r\npiece;a;;;;1;thickness;2,481;mm;mic;\r\npiece;a;;;;3;thickness;2,481;mm;mic;\r\n"
	rows, mark, faults := CSV("x.csv", []byte(text))
	if len(faults) > 0 || mark != ',' || len(rows) != 3 {
		t.Fatalf("%v %c %d", faults, mark, len(rows))
	}
	_, faults = Read("x.csv", rows, mark)
	if keys(faults) != "stock.no-piece" || faults[0].Line != 7 {
		t.Errorf("%v", faults)
	}
	said, faults := Read("x.csv", rows[:2], mark)
	if len(faults) > 0 || len(said) != 2 {
		t.Fatal(faults)
	}
	l, g := said[0].Payload.(shop.LotV1), said[1].Payload.(shop.GoodsInV1)
	if l.Sort.Size != "2.48 mm" || g.Pieces[0].Value != "2.481" || g.Pieces[0].Typed != "2,481" {
		t.Errorf("%+v %+v", l, g)
	}
}
