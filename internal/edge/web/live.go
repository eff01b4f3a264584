package web

import (
	"encoding/json"
	"io"
	"net/http"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
)

// Bounds of the streams that tell benches of each other.
const (
	mostStreams = 200 // in all
	eventWithin = 5 * time.Second
	stillHere   = 20 * time.Second
)

// change is an event as a page reads it.
type change struct {
	Head  string       `json:"head"`
	Seq   int64        `json:"seq"`
	Lines []changeLine `json:"lines"`
}

type changeLine struct {
	Kind   string `json:"kind"`
	About  string `json:"about"`
	Who    string `json:"who"`
	Device string `json:"device"`
}

// live is a stream of what changes in a job (server-sent events). Each write
// has a deadline of its own, so that a reader who stopped reading is let go; the
// server's own deadlines do not end it.
func (s *site) live(w http.ResponseWriter, r *http.Request) {
	rd := s.reader(r)
	if s.streams.Add(1) > mostStreams {
		s.streams.Add(-1)
		w.Header().Set("Retry-After", "10")
		s.send(w, r, rd, answer{status: http.StatusServiceUnavailable, kind: "text/plain; charset=utf-8", write: func(w io.Writer) error {
			_, err := io.WriteString(w, rd.T("bench.too-many-watchers", "most", rd.Int(mostStreams)))
			return err
		}})
		return
	}
	defer s.streams.Add(-1)
	changes, now, stop, err := s.Bench.Watch(r.Context(), r.PathValue("job"))
	if err != nil {
		a := s.wrong(rd, err)
		if list := fault.All(err); len(list) > 0 && list[0].Code == fault.Refused {
			a.status = http.StatusServiceUnavailable
		}
		s.send(w, r, rd, a)
		return
	}
	defer stop()
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("Cache-Control", "no-store")
	h.Set("X-Accel-Buffering", "no")
	rc := http.NewResponseController(w)
	_ = rc.SetReadDeadline(time.Time{}) // where it cannot be set there is none
	if !s.event(w, rc, now) {
		return
	}
	beat := time.NewTicker(stillHere)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return
		case <-beat.C:
			if !s.still(r) || !written(w, rc, []byte(":\n\n")) {
				return
			}
		case c, ok := <-changes:
			if !ok || !s.still(r) || !s.event(w, rc, c) {
				return
			}
		}
	}
}

// event writes one change; false where the reader is gone or too slow.
func (s *site) event(w io.Writer, rc *http.ResponseController, c bench.Change) bool {
	out := change{Head: c.Head, Seq: c.Seq, Lines: []changeLine{}}
	for _, l := range c.Lines {
		out.Lines = append(out.Lines, changeLine{l.Kind, l.About, l.Person, l.Device})
	}
	b, err := json.Marshal(out)
	if err != nil {
		s.failed(err)
		return false
	}
	return written(w, rc, append(append([]byte("data: "), b...), "\n\n"...))
}

// written writes within the deadline of one event.
func written(w io.Writer, rc *http.ResponseController, b []byte) bool {
	_ = rc.SetWriteDeadline(time.Now().Add(eventWithin))
	if _, err := w.Write(b); err != nil {
		return false
	}
	return rc.Flush() == nil
}
