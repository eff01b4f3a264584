package compute

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/judge/allocate"
)

// selections are the procedures that choose parts for places from a shelf.
func selections() []procedure {
	return []procedure{selectShells(), selectShims(), checkLash(), selectPairs(), selectSets(), splitHalves(), selectGasket(), selectSprings(), ringGaps(), cheapestPurchase()}
}

func wording(name string) column { return column{name: name, text: true} }
func length(name string) column  { return column{name: name, dim: unit.Length} }
func number(name string) column  { return column{name: name, dim: unit.Number} }

// sharedField are the causes that several sizes have in common.
func sharedField(what string) field {
	return field{name: "shared", extent: aTable, row: []column{wording("cause"), wording("of"), length("u")},
		what: "causes that all sizes of a kind share, each by its u with its sign; of: " + what}
}

func aimField() field {
	return field{name: "aim", extent: oneWord, words: allocate.Aims(), what: "least squares about the target, least worst deviation, or least spread"}
}

func guardField() field {
	return field{name: "guard", dim: unit.Number, what: "standard uncertainties that a result keeps off its limits; left out 0"}
}

// fine is a value in whole billionths or millionths, held within what a size may
// be: one beyond is refused as such.
func fine(si, per float64) int64 {
	const most = 2e10
	return int64(math.Round(math.Min(math.Max(si*per, -most), most)))
}

func nano(si float64) int64 { return fine(si, 1e9) }

func si(nm int64) float64 { return float64(nm) / 1e9 }

func nanos(list []int64) []float64 {
	out := make([]float64, len(list))
	for i, v := range list {
		out[i] = si(v)
	}
	return out
}

// size is a length with its doubt and what it shares.
func (c *call) size(x, u float64, of string) allocate.Size {
	s := allocate.Size{N: nano(x), U: u * 1e9}
	for i, row := range c.rows["shared"] {
		if cells := c.cells["shared"][i]; cells[1] == of {
			s.Shared = append(s.Shared, allocate.Share{Cause: cells[0], U: row[0] * 1e9})
		}
	}
	return s
}

// sharing checks that causes are of what the procedure has.
func (c *call) sharing(of ...string) {
	for i, cells := range c.cells["shared"] {
		if !slices.Contains(of, cells[1]) {
			t := c.t.get("shared").list[i]
			c.on(t.at, fmt.Sprintf("shared[%d]", i)).say("compute.choice", "name", "of", "found", cells[1], "expected", fmt.Sprint(of))
		}
	}
}

// count reads a cell that is a number of pieces.
func (c *call) count(x float64, table string, row int) int {
	if x != math.Trunc(x) || math.Abs(x) > 1e6 {
		t := c.t.get(table).list[row]
		c.on(t.at, fmt.Sprintf("%s[%d]", table, row)).say("compute.whole", "name", "count", "found", digitsOf(x), "least", "0", "most", "1000000")
		return 0
	}
	return int(x)
}

// onOf reads a cell that is one of two words.
func (c *call) onOf(text, table string, row int, expected ...string) bool {
	k := slices.Index(expected, text)
	if k < 0 {
		t := c.t.get(table).list[row]
		c.on(t.at, fmt.Sprintf("%s[%d]", table, row)).say("compute.choice", "name", table, "found", text, "expected", fmt.Sprint(expected))
	}
	return k == 1
}

// open are limits as given; nil where open.
func (c *call) between() allocate.Limits {
	var l allocate.Limits
	for name, side := range map[string]**int64{"low": &l.Low, "high": &l.High} {
		if c.has(name) {
			v := nano(c.nums[name])
			*side = &v
		}
	}
	return l
}

// refused places the faults of a selection at the rows that they name.
func (c *call) refused(err error, tables ...string) error {
	for _, f := range fault.All(err) {
		if f.Key == "" || f.Code == fault.Broken {
			return err
		}
		at, path := c.t.at, ""
		for _, table := range tables {
			for i, cells := range c.cells[table] {
				if path == "" && len(cells) > 0 && (cells[0] == f.Args["name"] || cells[0] == f.Args["found"]) {
					at, path = c.t.get(table).list[i].at, fmt.Sprintf("%s[%d]", table, i)
				}
			}
		}
		c.on(at, path).say(f.Key, flat(f.Args)...)
	}
	return nil
}

func (c *call) bought(name string, list []allocate.Purchase) {
	var out []string
	for _, p := range list {
		out = append(out, p.ID+" × "+strconv.Itoa(p.Count))
	}
	c.puts(name, out)
}

func (c *call) proof(p allocate.Proof, scale float64, d unit.Dim) {
	c.put("proof", p.Method)
	c.measure("gap", d, p.Gap/scale)
	if p.Method == "open" {
		c.note("compute.note.open")
	}
}

// standings are the results of all places with chance and verdict.
func (c *call) standings(name string, list []allocate.Standing) {
	var y, u []float64
	var chance, verdict []string
	for _, s := range list {
		y, u = append(y, si(s.Value)), append(u, s.U/1e9)
		chance, verdict = append(chance, digitsOf(s.Chance)), append(verdict, string(s.Verdict))
	}
	c.measures(name, unit.Length, y)
	c.measures("u", unit.Length, u)
	c.puts("chance", chance)
	c.puts("verdict", verdict)
}

// texts gathers one text of each place.
func texts[T any](list []T, one func(T) string) []string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = one(v)
	}
	return out
}

// whole numbers of each place.
func wholes[T any](list []T, one func(T) int64) []int64 {
	out := make([]int64, len(list))
	for i, v := range list {
		out[i] = one(v)
	}
	return out
}
