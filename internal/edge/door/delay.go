package door

import (
	"net/netip"
	"sync"
	"time"

	"fettle/internal/base/fault"
)

// delays makes guessing slow and never impossible for the one who knows: the
// waiting time after wrong tries doubles up to a bound and then stays.
type delays struct {
	mu    sync.Mutex
	tries map[string]*tries
}

type tries struct {
	n           int // wrong in a row, less what time has forgiven
	last, until time.Time
}

// rule is one count that a try goes against.
type rule struct {
	key  string
	free int           // wrong tries before the first wait
	most time.Duration // the longest wait
}

const (
	forgive  = 2 * time.Minute // after which one wrong try is forgotten
	mostKept = 8192            // counts in memory
)

// Wait is how long to wait before the next try.
type Wait struct {
	*fault.Fault
	For time.Duration
}

// Unwrap gives the sentence.
func (w *Wait) Unwrap() error { return w.Fault }

// take counts a try as wrong before it is looked at, so that many at once are
// no way around. It returns how long to wait where it is too early; then
// nothing was counted.
func (d *delays) take(now time.Time, rules []rule) time.Duration {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.tries == nil {
		d.tries = map[string]*tries{}
	}
	if len(d.tries) > mostKept {
		d.prune(now)
	}
	var wait time.Duration
	for _, r := range rules {
		if t := d.tries[r.key]; t != nil {
			t.age(now)
			wait = max(wait, t.until.Sub(now))
		}
	}
	if wait > 0 {
		return wait
	}
	for _, r := range rules {
		t := d.tries[r.key]
		if t == nil {
			t = &tries{last: now}
			d.tries[r.key] = t
		}
		t.n = min(t.n+1, r.free+12)
		t.last = now
		if over := t.n - r.free; over > 0 {
			t.until = now.Add(min(r.most, time.Second<<(over-1)))
		}
	}
	return 0
}

func (t *tries) age(now time.Time) {
	for t.n > 0 && now.Sub(t.last) >= forgive {
		t.n--
		t.last = t.last.Add(forgive)
	}
}

// right takes back the count of a try that was right. The first rule's count
// ends; of the others only this try is taken back, so that coming in oneself
// buys no guesses at another's door.
func (d *delays) right(rules []rule) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for i, r := range rules {
		t := d.tries[r.key]
		if t == nil {
			continue
		}
		t.n, t.until = max(t.n-1, 0), time.Time{}
		if i == 0 || t.n == 0 {
			delete(d.tries, r.key)
		}
	}
}

// prune forgets what has nothing to say any more; where that is not enough, it
// forgets what was tried longest ago.
func (d *delays) prune(now time.Time) {
	for k, t := range d.tries {
		if t.age(now); t.n == 0 {
			delete(d.tries, k)
		}
	}
	for len(d.tries) > mostKept {
		oldest := ""
		for k, t := range d.tries {
			if oldest == "" || t.last.Before(d.tries[oldest].last) {
				oldest = k
			}
		}
		delete(d.tries, oldest)
	}
}

// waiting makes the sentence of a wait.
func waiting(w time.Duration) *Wait {
	s := int((w + time.Second - 1) / time.Second)
	return &Wait{fault.New(fault.Refused, "door.wait", "seconds", itoa(s)), time.Duration(s) * time.Second}
}

// network is what counts as one address: with IPv6 a whole subnet, which any
// one machine may have to itself.
func network(address string) string {
	a, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	a = a.Unmap().WithZone("")
	if a.Is6() && !a.IsLoopback() {
		if p, err := a.Prefix(64); err == nil {
			return p.String()
		}
	}
	return a.String()
}
