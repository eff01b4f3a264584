package web

import (
	"context"

	"fettle/internal/edge/bench"
)

type apiPhotoIn struct {
	Job      string `path:"job" maxLength:"64"`
	Key      string `header:"Idempotency-Key" required:"true" minLength:"1" maxLength:"128" doc:"made when the photo is taken, not when it is sent"`
	Position string `query:"position" maxLength:"200" doc:"one of position, part and finding says what it is of"`
	Part     string `query:"part" maxLength:"200"`
	At       string `query:"at" maxLength:"80" doc:"place on a part without indices: cyl/3"`
	Finding  string `query:"finding" maxLength:"300" doc:"id@part"`
	Words    string `query:"words" maxLength:"1600"`
	Person   string `query:"person" maxLength:"64"`
	Device   string `query:"device" maxLength:"64"`
	Time     int64  `query:"time" minimum:"0" doc:"writer's clock, µs since 1970 UTC; left out, the server's is taken"`

	RawBody []byte `contentType:"application/octet-stream"`
}

type apiPhotoOut struct {
	Body struct {
		apiReceipt
		Original string `json:"original" doc:"SHA-256 of the file as it came"`
		Shown    string `json:"shown" doc:"SHA-256 of the picture under /photo/{digest}"`
		Small    string `json:"small"`
		Taken    string `json:"taken,omitempty" doc:"as the camera claims"`
		Located  bool   `json:"located" doc:"the original says where it was taken; what is shown does not"`
	}
}

// apiPhoto takes a photo as the body of a request: the file as it came.
func (s *site) apiPhoto(ctx context.Context, in *apiPhotoIn) (*apiPhotoOut, error) {
	person, device, err := s.caller(ctx, in.Person, in.Device)
	if err != nil {
		return nil, err
	}
	got, p, err := s.Bench.AddPhoto(ctx, bench.Photo{Job: in.Job, Position: in.Position, Part: in.Part, At: in.At, Finding: in.Finding, Words: in.Words,
		Person: person, Device: deviceOf(ctx, device), File: in.RawBody, Key: keyOf(in.Job, in.Key), Time: in.Time})
	if err != nil {
		return nil, s.apiFault(err)
	}
	out := &apiPhotoOut{}
	o := &out.Body
	o.apiReceipt = receipt(got.Receipt, got.Again)
	o.Original, o.Shown, o.Small, o.Taken, o.Located = p.Original, p.Shown, p.Small, p.Taken, p.Located
	return out, nil
}
