// Package cause is the guide to causes: from what was seen and measured, and how
// it lies over the engine, to a ranking of what may have caused it and what to
// look at next. It ranks; it never gives a verdict.
package cause

import "math"

// Posterior returns the probability of each hypothesis after evidence.
//
//	P(H_i | e_1 … e_n) = P(H_i) ∏_k P(e_k | H_i) / Σ_j P(H_j) ∏_k P(e_k | H_j)
//
// Shapes: prior of n weights above nought, in any scale; like of any number of
// rows, each with n likelihoods above nought -> n probabilities that sum to 1.
// Units:  none.
// Errors: none; rows of another length are our own mistake.
// Valid:  the evidence is independent under each hypothesis (naive Bayes), and
// one hypothesis holds.
// Source: Bayes' theorem; T. Bayes, 1763, in any textbook, from memory.
func Posterior(prior []float64, like [][]float64) []float64 {
	logs := make([]float64, len(prior))
	for i, p := range prior {
		logs[i] = math.Log(p)
	}
	for _, row := range like {
		if len(row) != len(prior) {
			panic("cause: a row of likelihoods for another number of hypotheses")
		}
		for i, p := range row {
			logs[i] += math.Log(p)
		}
	}
	return normal(logs)
}

// normal turns logarithms of weights into probabilities; the largest is taken
// off first, so that none overflows.
func normal(logs []float64) []float64 {
	most := math.Inf(-1)
	for _, l := range logs {
		most = max(most, l)
	}
	out, sum := make([]float64, len(logs)), 0.0
	for i, l := range logs {
		out[i] = math.Exp(l - most)
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// Entropy is how much is not known, in bits.
//
//	H = -Σ p log₂ p
//
// Shapes: n probabilities -> scalar.
// Units:  none -> bit.
// Errors: none; nought adds nought.
// Source: C. E. Shannon, A mathematical theory of communication, 1948, from memory.
func Entropy(p []float64) float64 {
	h := 0.0
	for _, x := range p {
		if x > 0 {
			h -= x * math.Log2(x)
		}
	}
	return h
}

// Gain is how much a check is expected to tell, in bits.
//
//	G = H(p) - Σ_o P(o) H(p | o),   P(o) = Σ_i p_i P(o | H_i)
//
// Shapes: p of n probabilities; outcomes of any number of rows, each with n
// likelihoods, the rows of one hypothesis summing to 1 -> scalar ≥ 0.
// Units:  none -> bit.
// Errors: none.
// Source: D. V. Lindley, On a measure of the information provided by an
// experiment, 1956, from memory.
func Gain(p []float64, outcomes [][]float64) float64 {
	left := 0.0
	after := make([]float64, len(p))
	for _, row := range outcomes {
		sum := 0.0
		for i, l := range row {
			after[i] = p[i] * l
			sum += after[i]
		}
		if sum <= 0 {
			continue
		}
		for i := range after {
			after[i] /= sum
		}
		left += sum * Entropy(after)
	}
	return max(0, Entropy(p)-left)
}

// Ratio is how many times as likely evidence is under one hypothesis as under
// the others together, by their probabilities before it (Good's weight of
// evidence without the logarithm).
//
//	R_i = P(e | H_i) / [Σ_{j≠i} p_j P(e | H_j) / Σ_{j≠i} p_j]
//
// Shapes: p and like of n, i below n, n ≥ 2 -> scalar.
// Units:  none.
// Errors: none.
// Source: I. J. Good, Probability and the weighing of evidence, 1950, from memory.
func Ratio(p, like []float64, i int) float64 {
	sum, all := 0.0, 0.0
	for j := range p {
		if j != i {
			sum += p[j] * like[j]
			all += p[j]
		}
	}
	if sum <= 0 {
		return 1
	}
	return like[i] * all / sum
}
