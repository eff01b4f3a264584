package plot

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// Law: numbers in a PDF read back as what they were, to half their last
// decimal, and are written as package strconv writes the rounded value.
func TestLawDecimals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-3000, 3000).Draw(t, "v")
		for _, c := range []struct {
			text  string
			scale float64
		}{{string(pnum(nil, v)), 1e4}, {string(dot(nil, v)), 1e2}} {
			want := math.Round(v*c.scale)/c.scale + 0
			if plain := strconv.FormatFloat(want, 'f', -1, 64); plain != c.text {
				t.Fatalf("%v written as %q, strconv has %q", v, c.text, plain)
			}
		}
	})
}
