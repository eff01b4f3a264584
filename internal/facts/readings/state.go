package readings

import (
	"crypto/sha256"
	"strconv"

	"golang.org/x/sync/errgroup"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

// device is what an entry of a file names as its device.
const device = "readings.csv"

// Entries makes one entry a reading, in the order of the file; keyOf gives the
// key of reading i, nil stands for keys made of content. A reading without a
// time gets none: whoever stores the entries gives it the time of import. keyOf is
// called from several hands at once.
func (s *Sheet) Entries(stream string, keyOf func(i int) entry.Key) ([]entry.Entry, error) {
	out := make([]entry.Entry, len(s.Readings))
	const hands = 4 // the entries lean on nothing of one another
	var g errgroup.Group
	for h := range hands {
		g.Go(func() error {
			for i := h * len(out) / hands; i < (h+1)*len(out)/hands; i++ {
				e, err := s.entry(stream, i, keyOf)
				if err != nil {
					return err
				}
				out[i] = e
			}
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	return out, nil
}

func (s *Sheet) entry(stream string, i int, keyOf func(i int) entry.Key) (entry.Entry, error) {
	r := &s.Readings[i]
	e, err := entry.New(stream, entry.Key{}, entry.Reading, r.Person, device, r.Time, r.ReadingV1)
	if err != nil {
		return e, err
	}
	if keyOf == nil {
		e.Key = contentKey(stream, entry.Reading, r.Person, r.Time, e.Payload)
	} else {
		e.Key = keyOf(i)
	}
	return e, nil
}

// Keys gives each reading a key made of its content and nothing else, so that
// the same file read twice gives the same entries.
func (s *Sheet) Keys(stream string) func(i int) entry.Key {
	return func(i int) entry.Key {
		r := &s.Readings[i]
		return contentKey(stream, entry.Reading, r.Person, r.Time, canonical(r.ReadingV1))
	}
}

// ShopEntries makes the entries of the people and gauges that the file names,
// with keys of their content and the time of its first reading. A person who
// reads without being declared is known by initials alone.
func (s *Sheet) ShopEntries() ([]entry.Entry, error) {
	at := s.first()
	var out []entry.Entry
	add := func(kind entry.Kind, payload any) error {
		e, err := entry.New(entry.ShopStream, contentKey(entry.ShopStream, kind, "", at, canonical(payload)), kind, "", device, at, payload)
		out = append(out, e)
		return err
	}
	known := map[string]bool{"": true}
	for _, p := range s.People {
		known[p.Person] = true
		if err := add(entry.PersonKnown, p); err != nil {
			return nil, err
		}
	}
	for i := range s.Readings {
		if id := s.Readings[i].Person; !known[id] {
			known[id] = true
			if err := add(entry.PersonKnown, shop.PersonV1{Person: id, Initials: id}); err != nil {
				return nil, err
			}
		}
	}
	for _, g := range s.Gauges {
		if err := add(entry.GaugeKnown, g); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// ToState replays a sheet as if its job had been opened and its readings been
// entered one by one: what a headless evaluation works on. Job and title of
// opened are taken from the sheet where they are empty. All keys are made of
// content, so the same sheet gives the same state, heads included.
func (s *Sheet) ToState(opened job.OpenedV1) (*job.State, *shop.State, error) {
	if opened.Job == "" {
		opened.Job, opened.Title = s.Job, s.Title
	}
	stream := entry.JobStream(opened.Job)
	at := s.first()
	first, err := entry.New(stream, contentKey(stream, entry.JobOpened, "", at, canonical(opened)), entry.JobOpened, "", device, at, opened)
	if err != nil {
		return nil, nil, err
	}
	readings, err := s.Entries(stream, nil)
	if err != nil {
		return nil, nil, err
	}
	shopEntries, err := s.ShopEntries()
	if err != nil {
		return nil, nil, err
	}
	return job.Replay(rows(append([]entry.Entry{first}, readings...))), shop.Replay(rows(shopEntries)), nil
}

// first is the time of the earliest reading that has one, 0 if none has.
func (s *Sheet) first() int64 {
	var at int64
	for i := range s.Readings {
		if t := s.Readings[i].Time; t != 0 && (at == 0 || t < at) {
			at = t
		}
	}
	return at
}

// rows chains entries as a store would that received each when it was written.
func rows(entries []entry.Entry) []entry.Row {
	out := make([]entry.Row, len(entries))
	var prev entry.Hash
	for i, e := range entries {
		out[i] = entry.Row{Entry: e, Seq: int64(i) + 1, Received: e.Time, Prev: prev}
		out[i].Hash = out[i].Digest()
		prev = out[i].Hash
	}
	return out
}

// canonical is a payload as it stands in an entry.
func canonical(payload any) []byte {
	b, err := entry.Canonical(payload)
	if err != nil {
		panic("readings: a payload of strings is always JSON: " + err.Error())
	}
	return b
}

// contentKey is the first half of a SHA-256 over what an entry says.
func contentKey(stream string, kind entry.Kind, person string, time int64, payload []byte) entry.Key {
	h := sha256.New()
	for _, f := range []string{"fettle readings 1", stream, string(kind), person, strconv.FormatInt(time, 10)} {
		h.Write([]byte(strconv.Itoa(len(f)) + ":" + f))
	}
	h.Write(payload)
	var k entry.Key
	copy(k[:], h.Sum(nil))
	return k
}
