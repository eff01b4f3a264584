package job

// StartedV1 says that a person began to work on an operation. Person and time
// are those of the entry.
type StartedV1 struct {
	Operation string   `json:"operation"`         // id of the operations file
	Places    []string `json:"places,omitempty"`  // where not all
	Machine   string   `json:"machine,omitempty"` // id of the shop's log
	Again     string   `json:"again,omitempty"`   // why, where the operation was done before
}

// StoppedV1 ends what an entry of StartedV1 began.
type StoppedV1 struct {
	Start  string `json:"start"`            // key of the entry that began it
	At     int64  `json:"at,omitempty"`     // µs since 1970 UTC: when it really stopped, where that is not the time of the entry
	Reason string `json:"reason,omitempty"` // then: why
}

// DoneV1 says that an operation is done; whatever of it still runs stops.
type DoneV1 struct {
	Operation string   `json:"operation"`
	Readings  []string `json:"readings,omitempty"` // keys of the readings that close it
	Outside   bool     `json:"outside,omitempty"`  // it was given out
	Note      string   `json:"note,omitempty"`
}

// WaitingV1 says that a job waits, or that it waits no more.
type WaitingV1 struct {
	For       string `json:"for"`                 // customer, part, machine, person
	Over      bool   `json:"over,omitempty"`      // it waits for that no more
	Operation string `json:"operation,omitempty"` // what cannot go on
	Text      string `json:"text,omitempty"`
}
