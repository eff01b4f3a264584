package unit

// MarshalText writes the canonical text.
func (q Quantity) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// UnmarshalText reads the canonical text of a file or an entry: point as mark,
// unit inside. A text that is no quantity is kept with Dim None, so that a
// linter can report every one of them with its place instead of the first.
func (q *Quantity) UnmarshalText(b []byte) error {
	p, err := Parse(string(b), "", '.')
	if err != nil {
		*q = Quantity{Text: string(b)}
		return nil
	}
	*q = p
	return nil
}

// Bad reports whether a text was given that is no quantity.
func (q Quantity) Bad() bool { return q.Dim == None && q.Text != "" }
