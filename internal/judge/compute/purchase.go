package compute

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"fettle/internal/judge/allocate"
)

func cheapestPurchase() procedure {
	return procedure{name: "cheapest-purchase", source: "common-practice", run: purchase, fields: []field{
		{name: "needs", extent: aTable, need: true, least: 1, most: 500, row: []column{wording("part"), number("count")}, what: "parts that are to be bought"},
		{name: "offers", extent: aTable, need: true, least: 1, most: 5000, row: []column{wording("supplier"), wording("part"), wording("price of one, such as 4.50 EUR"), number("to be had"), number("days")}, what: "what suppliers ask"},
		{name: "carriage", extent: aTable, most: 100, row: []column{wording("supplier"), wording("price")}, what: "what a supplier asks for a delivery, once"},
		{name: "most_days", extent: oneWhole, least: 0, most: 10_000, what: "days within which all must be here; left out 10000"}},
		example: `{"needs": [["shim 2.20", 1], ["shim 2.25", 1], ["shell G", 4]],
 "offers": [["Alder", "shim 2.20", "4.50 EUR", 10, 3], ["Alder", "shim 2.25", "4.50 EUR", 10, 3], ["Alder", "shell G", "19.00 EUR", 2, 5],
  ["Birch", "shell G", "21.00 EUR", 20, 2], ["Birch", "shim 2.20", "6.00 EUR", 5, 2], ["Birch", "shim 2.25", "6.00 EUR", 5, 2]],
 "carriage": [["Alder", "8.00 EUR"], ["Birch", "9.50 EUR"]], "most_days": 10}`}
}

// money reads a price: a decimal number of at most three places and a currency of
// three letters.
func money(text string) (thousandths int64, currency string, ok bool) {
	m := regexp.MustCompile(`^(\d{1,9})(?:\.(\d{1,3}))? ([A-Z]{3})$`).FindStringSubmatch(text)
	if m == nil {
		return 0, "", false
	}
	n, err := strconv.ParseInt(m[1]+(m[2] + "000")[:3], 10, 64)
	return n, m[3], err == nil
}

// price reads a price at a row; all prices are of one currency.
func (c *call) price(text, table string, row int, currency *string) int64 {
	n, found, ok := money(text)
	at, path := c.t.get(table).list[row].at, fmt.Sprintf("%s[%d]", table, row)
	switch {
	case !ok:
		c.on(at, path).say("fits.price", "found", text)
	case *currency == "":
		*currency = found
	case *currency != found:
		c.on(at, path).say("fits.currency", "found", found, "expected", *currency)
	}
	return n
}

func purchase(c *call) error {
	currency, days := "", 10_000
	if c.has("most_days") {
		days = int(c.nums["most_days"])
	}
	var needs []allocate.Need
	for i, row := range c.rows["needs"] {
		needs = append(needs, allocate.Need{Item: c.cells["needs"][i][0], Count: c.count(row[0], "needs", i)})
	}
	var offers []allocate.Offer
	for i, row := range c.rows["offers"] {
		cells := c.cells["offers"][i]
		offers = append(offers, allocate.Offer{Supplier: cells[0], Item: cells[1], Price: c.price(cells[2], "offers", i, &currency),
			Have: c.count(row[0], "offers", i), Days: c.count(row[1], "offers", i)})
	}
	var carriage []allocate.Carriage
	for i, cells := range c.cells["carriage"] {
		carriage = append(carriage, allocate.Carriage{Supplier: cells[0], Price: c.price(cells[1], "carriage", i, &currency)})
	}
	if len(c.faults) > 0 {
		return nil
	}
	p, err := allocate.Buy(needs, offers, carriage, days)
	if err != nil {
		return c.refused(err, "offers", "needs")
	}
	write := func(n int64) string {
		s := fmt.Sprintf("%d.%03d", n/1000, n%1000)
		return strings.TrimSuffix(s, "0") + " " + currency
	}
	c.puts("lines", texts(p.Lines, func(l allocate.BuyLine) string {
		return fmt.Sprintf("%s: %s × %d", l.Supplier, l.Item, l.Count)
	}))
	c.puts("prices", texts(p.Lines, func(l allocate.BuyLine) string { return write(l.Price) }))
	c.put("total", write(p.Total))
	c.put("carriage", write(p.Carriage))
	c.whole("days", p.Days)
	c.puts("suppliers", p.Suppliers)
	c.puts("total_without", texts(p.Without, func(n int64) string {
		if n < 0 {
			return "none"
		}
		return write(n)
	}))
	c.whole("sets_of_suppliers_tried", p.Tried)
	return nil
}
