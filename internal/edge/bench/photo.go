package bench

import (
	"context"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/photo"
)

// Photo is a photo as it is handed in, of a position, a part or a finding.
type Photo struct {
	Job                         string
	Position, Part, At, Finding string
	Words                       string
	Person, Device              string
	File                        []byte
	Key                         entry.Key
	Time                        int64
}

// MostPhoto is the largest photo that is taken.
const MostPhoto = photo.MostBytes

// AddPhoto reads a photo, keeps it as it came and as it is shown, and stores the
// entry that names both. One photo is read at a time.
//
// Errors: every problem at once, each with the field it belongs to as its path.
func (b *Bench) AddPhoto(ctx context.Context, in Photo) (Receipt, job.PhotoV1, error) {
	j, err := b.Judge(ctx, in.Job)
	if err != nil {
		return Receipt{}, job.PhotoV1{}, err
	}
	p := job.PhotoV1{Position: in.Position, Part: in.Part, At: in.At, Finding: in.Finding, Words: strings.TrimSpace(in.Words)}
	faults := append(photoFaults(j, &p), personFaults(j.Shop, in.Person)...)
	faults = append(faults, tooLong("words", p.Words)...)
	if len(in.File) == 0 {
		faults = append(faults, fault.New(fault.Invalid, "bench.no-photo").In("photo"))
	}
	if err := faults.OrNil(); err != nil {
		return Receipt{}, p, err
	}
	read, err := b.develop(ctx, in.File)
	if err != nil {
		return Receipt{}, p, inField("photo", err)
	}
	p.Type, p.Width, p.Height, p.Taken, p.Located = read.Type, read.Width, read.Height, read.Taken, read.Located
	if p.Original, err = b.store.PutOriginal(in.File); err != nil {
		return Receipt{}, p, err
	}
	if p.Shown, err = b.store.PutPhoto(read.Shown); err != nil {
		return Receipt{}, p, err
	}
	if p.Small, err = b.store.PutPhoto(read.Small); err != nil {
		return Receipt{}, p, err
	}
	s := b.slot(in.Job)
	s.mu.Lock()
	defer s.mu.Unlock()
	e, err := entry.New(entry.JobStream(in.Job), in.Key, entry.Photo, in.Person, in.Device, b.when(in.Time), p)
	if err != nil {
		return Receipt{}, p, err
	}
	got, err := b.write(ctx, in.Job, s, e)
	return got, p, err
}

// develop reads one photo at a time: decoding takes much memory.
func (b *Bench) develop(ctx context.Context, file []byte) (*photo.Photo, error) {
	select {
	case b.dark <- struct{}{}:
		defer func() { <-b.dark }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	return photo.Read(file)
}

// inField says at which field a fault belongs.
func inField(field string, err error) error {
	if list := fault.All(err); len(list) > 0 {
		out := make(fault.List, len(list))
		for i, f := range list {
			out[i] = f.In(field)
		}
		return out
	}
	return err
}

// photoFaults says what is wrong with what a photo is of.
func photoFaults(j *Judged, p *job.PhotoV1) (faults fault.List) {
	say := func(field, key string, pairs ...string) {
		faults = append(faults, fault.New(fault.Invalid, key, pairs...).In(field))
	}
	of := 0
	for _, s := range []string{p.Position, p.Part, p.Finding} {
		if s != "" {
			of++
		}
	}
	switch {
	case of != 1:
		say("photo", "bench.photo-of")
	case p.Position != "":
		if _, ok := j.Layout.Find(p.Position); !ok {
			say("position", "bench.no-position", "found", p.Position)
		}
	case p.Part != "":
		comp, _, ok := j.Layout.Spot(p.Part)
		if !ok {
			say("part", "bench.no-part", "found", p.Part)
		} else if p.At != "" && !j.Layout.On(comp.ID, p.At) {
			say("at", "bench.no-at", "found", p.At)
		}
	default:
		for i := range j.Assessment.Findings {
			if f := &j.Assessment.Findings[i]; f.ID+"@"+f.Part == p.Finding {
				return faults
			}
		}
		say("finding", "bench.no-finding", "found", p.Finding)
	}
	return faults
}

// Photo reads back a photo as it is shown; Original as it came.
func (b *Bench) Photo(digest string) ([]byte, error) { return b.store.Photo(digest) }

// Original is a photo as it came, with all that its camera wrote. Nothing calls
// this but somebody who asks for it.
func (b *Bench) Original(digest string) ([]byte, error) { return b.store.Original(digest) }
