package unit

// Steps is a base and a whole number of steps on it, exactly, written in the
// unit of the base with as many digits as base or step has. ok is false where
// the two are of different kinds or the sum is too large.
//
// Shapes: two quantities and a count -> one quantity.
// Units:  those of the base.
// Errors: none; see ok.
func Steps(base, step Quantity, n int64) (q Quantity, ok bool) {
	if base.Dim != step.Dim || base.Dim == None || step.N == 0 {
		return Quantity{}, false
	}
	add := step.N * n
	sum := base.N + add
	if add/step.N != n || (add > 0) != (sum > base.N) && add != 0 {
		return Quantity{}, false
	}
	q, ok = Exactly(base.Dim, sum, base.Unit)
	if !ok {
		return Quantity{}, false
	}
	in, ok := step.In(base.Unit)
	if !ok {
		return Quantity{}, false
	}
	want := max(base.Decimals(), in.Decimals())
	if q.Decimals() == 0 && want > 0 {
		q.Text += "."
	}
	for q.Decimals() < want {
		q.Text += "0"
	}
	return q, true
}
