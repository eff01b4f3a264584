package web

import (
	"context"

	"fettle/internal/edge/bench"
)

type apiObservationIn struct {
	Job  string `path:"job" maxLength:"64"`
	Key  string `header:"Idempotency-Key" required:"true" minLength:"1" maxLength:"128" doc:"made when it is seen, not when it is sent; the same key with the same content gives the first receipt again"`
	Body struct {
		Part     string `json:"part" example:"shell-pin/4/upper" maxLength:"200" doc:"a component with as many of its indices as are known"`
		At       string `json:"at,omitempty" example:"cyl/3" maxLength:"80" doc:"where on a component without indices: dimension and value"`
		Kind     string `json:"kind,omitempty" example:"to-copper" maxLength:"64" doc:"of the catalogue; left out, words alone"`
		Severity string `json:"severity,omitempty" example:"marked" maxLength:"64" doc:"a word of the catalogue"`
		Within   string `json:"within,omitempty" example:"crown" maxLength:"64"`
		Absent   bool   `json:"absent,omitempty" doc:"looked for, and not there"`
		Others   bool   `json:"others_clear,omitempty" doc:"all others of this component were looked at and do not show it"`
		Saw      string `json:"saw,omitempty" doc:"in the person's words"`
		Note     string `json:"note,omitempty"`
		Person   string `json:"person,omitempty" maxLength:"64"`
		Device   string `json:"device,omitempty" maxLength:"64"`
		Time     int64  `json:"time,omitempty" minimum:"0" doc:"writer's clock, µs since 1970 UTC; left out, the server's is taken"`
	}
}

type apiReceiptOut struct{ Body apiReceipt }

func (s *site) apiObservation(ctx context.Context, in *apiObservationIn) (*apiReceiptOut, error) {
	b := &in.Body
	person, device, err := s.caller(ctx, b.Person, b.Device)
	if err != nil {
		return nil, err
	}
	got, err := s.Bench.Observe(ctx, bench.Observation{Job: in.Job, Part: b.Part, At: b.At, Kind: b.Kind, Severity: b.Severity, Within: b.Within,
		Absent: b.Absent, Others: b.Others, Saw: b.Saw, Note: b.Note, Person: person, Device: deviceOf(ctx, device), Key: keyOf(in.Job, in.Key), Time: b.Time})
	if err != nil {
		return nil, s.apiFault(err)
	}
	return &apiReceiptOut{receipt(got.Receipt, got.Again)}, nil
}
