package cli

import (
	"context"
	"time"

	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
)

func (s *shell) open(dir, addr, say string, first []entry.Entry) error {
	ctx := context.Background()
	st, err := store.Open(ctx, dir, time.Now)
	if err != nil {
		return err
	}
	defer st.Close()
	_, err = st.Append(ctx, first)
	return err
}
