package cli

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"syscall"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
	"fettle/internal/edge/web"
	"fettle/internal/facts/entry"
	"fettle/internal/show/sheet"
	"fettle/internal/show/view"
)

// serveCmd serves a store.
type serveCmd struct {
	Dir  string `default:"shop" help:"${help_dir}"`
	Addr string `default:"127.0.0.1:8430" help:"${help_addr}"`
	Host string `help:"${help_host}"`
	Lang string `default:"en" enum:"en,de" help:"${help_lang}"`
}

// Run serves until the process is told to stop.
func (c *serveCmd) Run(s *shell) error {
	if err := s.know(); err != nil {
		return err
	}
	if faults := s.lib.AllFamilies(s.files); len(faults) > 0 {
		return faults
	}
	return s.open(site{dir: c.Dir, addr: c.Addr, lang: c.Lang, host: c.Host, say: "cli.serving-at"})
}

// site is what is served: a folder at an address.
type site struct {
	dir, addr, lang, host, say string
	first                      []entry.Entry // written before the first page
}

// grace is how long running requests may take when the process is stopped.
const grace = 5 * time.Second

// open opens the store of a site and serves it.
func (s *shell) open(at site) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	st, err := store.Open(ctx, at.dir, time.Now)
	if err != nil {
		return err
	}
	defer st.Close()
	if faults := s.lib.Guides(); len(faults) > 0 {
		return faults
	}
	if len(at.first) > 0 {
		if _, err := st.Append(ctx, at.first); err != nil {
			return err
		}
	}
	b := bench.New(st, s.lib, time.Now)
	faults, err := b.TakeOwn()
	if err != nil {
		return err
	}
	for _, f := range faults {
		fmt.Fprintln(s.Err, s.book.Say("cli.own-family"), s.line(f))
	}
	var hosts []string
	if at.host != "" {
		hosts = strings.Split(at.host, ",")
	}
	h, err := web.New(web.Config{Bench: b, Hosts: hosts, Lang: at.lang, Program: program(),
		Record: func(c *view.Case, r view.Reader) ([]byte, error) {
			return sheet.Record(sheet.Input{Case: c, Reader: r, Program: program()})
		},
		Failed: func(err error) { fmt.Fprintln(s.Err, err) }})
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", at.addr)
	if err != nil {
		return fault.New(fault.Refused, "cli.no-address", "addr", at.addr, "error", err.Error())
	}
	go s.warm(ctx, st, b)
	fmt.Fprintln(s.Out, s.book.Say(at.say, "address", "http://"+l.Addr().String()+"/", "dir", at.dir))
	return s.serve(ctx, web.Server(h), l)
}

// warm judges every job once, so that no reader waits for the first page of
// it. It says how far it is where that takes longer than a run stays silent.
func (s *shell) warm(ctx context.Context, st *store.Store, b *bench.Bench) {
	heads, err := st.Streams(ctx)
	if err != nil {
		return // the first page says so too
	}
	began, said, jobs := time.Now(), false, 0
	for i, h := range heads {
		id, ok := strings.CutPrefix(h.Stream, entry.JobStream(""))
		if !ok || ctx.Err() != nil {
			continue
		}
		if _, err := b.Judge(ctx, id); err == nil {
			jobs++
		}
		if time.Since(began) > patience {
			began, said = time.Now(), true
			fmt.Fprintln(s.Err, s.book.Say("cli.judging", "done", strconv.Itoa(i+1), "all", strconv.Itoa(len(heads))))
		}
	}
	if said {
		fmt.Fprintln(s.Err, s.book.Count("cli.judged", jobs, strconv.Itoa(jobs)))
	}
}

// serve runs a server until the context ends, then lets it finish.
func (s *shell) serve(ctx context.Context, srv *http.Server, l net.Listener) error {
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(l) }()
	select {
	case err := <-failed:
		return fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.Background(), grace)
	defer cancel()
	if err := srv.Shutdown(end); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	fmt.Fprintln(s.Out, s.book.Say("cli.stopped"))
	return nil
}
