// Package cite holds the key of a source and how far a value taken from it has
// been reviewed. The sources themselves stand in data/sources.yaml.
package cite

// Key names one entry of the source list.
type Key string

// Status says how well a limit is supported.
type Status string

// The review statuses, from the strongest to the weakest.
const (
	ManualInHand   Status = "manual in hand"
	CopiedTable    Status = "copied table"
	CommonPractice Status = "common practice"
	FromMemory     Status = "from memory"
	Invented       Status = "invented for the demo"
)

// Statuses lists every status in order of strength.
func Statuses() []Status {
	return []Status{ManualInHand, CopiedTable, CommonPractice, FromMemory, Invented}
}

// Known reports whether s is one of the five.
func (s Status) Known() bool {
	for _, t := range Statuses() {
		if s == t {
			return true
		}
	}
	return false
}
