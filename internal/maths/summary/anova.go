package summary

import (
	"fmt"

	"gonum.org/v1/gonum/stat/distuv"
)

// Share is one line of an analysis of variance.
type Share struct {
	DF           int
	SumOfSquares float64
	MeanSquare   float64
}

// OneWay is a one-way analysis of variance.
type OneWay struct {
	Between, Within Share
	// F is the ratio of the mean squares, P the chance of one as great where
	// the groups do not differ.
	F, P float64
	// RSquared is the share of the total sum of squares that lies between
	// groups.
	RSquared float64
}

// Analyse splits the spread of grouped readings into between and within.
//
//	SS_between = Σ nᵢ (x̄ᵢ − x̄)²     SS_within = Σᵢ Σⱼ (xᵢⱼ − x̄ᵢ)²
//	F = [SS_between/(k − 1)] / [SS_within/(n − k)]
//
// Shapes: k ≥ 2 groups of one or more readings, n > k -> table.
// Units:  any; squares of it in the sums; F, P and R² have none.
// Errors: fewer than two groups; an empty group; no repeat in any group; a
// value that is not finite; no spread within the groups, for which F has no
// value.
// Source: definitions of the NIST Statistical Reference Datasets, analysis of
// variance; P by the F distribution of gonum.
func Analyse(groups [][]float64) (OneWay, error) {
	if len(groups) < 2 {
		return OneWay{}, fmt.Errorf("summary: %d groups: at least 2 are needed to compare", len(groups))
	}
	var all, means []float64
	var within []float64
	for g, v := range groups {
		if len(v) == 0 {
			return OneWay{}, fmt.Errorf("summary: group %d is empty: at least 1 reading is needed", g)
		}
		if err := finite(v); err != nil {
			return OneWay{}, fmt.Errorf("summary: group %d: %w", g, err)
		}
		_, dev := centred(v)
		for _, d := range dev {
			within = append(within, d*d)
		}
		all = append(all, v...)
	}
	k, n := len(groups), len(all)
	if n == k {
		return OneWay{}, fmt.Errorf("summary: %d groups hold one reading each: a repeat is needed to know the spread within", k)
	}
	// Means are taken of deviations from the grand mean, which keeps the digits
	// that readings far from nought would lose.
	_, dev := centred(all)
	for at, g := 0, 0; g < k; g++ {
		m := Sum(dev[at:at+len(groups[g])]) / float64(len(groups[g]))
		means = append(means, float64(len(groups[g]))*m*m)
		at += len(groups[g])
	}
	out := OneWay{Between: share(k-1, Sum(means)), Within: share(n-k, Sum(within))}
	if out.Within.SumOfSquares == 0 {
		return OneWay{}, fmt.Errorf("summary: readings do not differ within any of the %d groups: F has no value", k)
	}
	out.F = out.Between.MeanSquare / out.Within.MeanSquare
	out.P = distuv.F{D1: float64(k - 1), D2: float64(n - k)}.Survival(out.F)
	out.RSquared = out.Between.SumOfSquares / (out.Between.SumOfSquares + out.Within.SumOfSquares)
	return out, nil
}

func share(df int, ss float64) Share { return Share{df, ss, ss / float64(df)} }
