package library

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
)

// PlanRow is one row of the measurement plan: something a shop measures, looks
// at or derives on any engine.
type PlanRow struct {
	ID     string // section and name, e.g. block/bore
	Text   string
	Unless string // why no characteristic answers it; "" where one must
}

// readPlan reads plan.csv: header id,text,unless. Lines that begin with # say
// where the plan comes from.
func readPlan(name string, text []byte) ([]PlanRow, fault.List) {
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment, r.FieldsPerRecord = '#', 3
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fault.List{fault.New(fault.Invalid, "file.syntax", "error", err.Error()).At(name, 1, 1)}
	}
	if len(rows) == 0 || strings.Join(rows[0], ",") != "id,text,unless" {
		return nil, fault.List{fault.New(fault.Invalid, "plan.header").At(name, 1, 1)}
	}
	out := make([]PlanRow, 0, len(rows)-1)
	for _, f := range rows[1:] {
		out = append(out, PlanRow{ID: f[0], Text: f[1], Unless: f[2]})
	}
	return out, nil
}

func planKeys(rows []PlanRow) map[string]bool {
	out := map[string]bool{}
	for _, r := range rows {
		out[r.ID] = true
	}
	return out
}

func itoa(i int) string { return strconv.Itoa(i) }
