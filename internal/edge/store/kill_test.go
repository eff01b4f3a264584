package store

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"fettle/internal/facts/entry"
)

// childVar tells the test binary to be the program that gets killed: directory,
// first and last entry, writers.
const childVar = "FETTLE_TEST_STORE_CHILD"

func TestMain(m *testing.M) {
	if args := os.Getenv(childVar); args != "" {
		child(args)
	}
	os.Exit(m.Run())
}

// killed is entry i of the thousand. Every tenth write carries three entries.
func killed(t testing.TB, i int) []entry.Entry {
	stream := "job/" + strconv.Itoa(i%3)
	if i%10 == 0 {
		return []entry.Entry{fact(t, stream, 1, i), fact(t, entry.ShopStream, 2, i), fact(t, stream, 3, i)}
	}
	return []entry.Entry{fact(t, stream, 1, i)}
}

// acked is one line of the child: what it wrote and the receipts it got.
type acked struct {
	Write    int
	Receipts []entry.Receipt
}

// child writes and says each receipt as soon as it has it. A line goes to the
// pipe in one write, so that it arrives whole or not at all.
func child(args string) {
	var dir string
	var from, to, writers int
	if _, err := fmt.Sscanf(args, "%d %d %d %s", &from, &to, &writers, &dir); err != nil {
		panic(err)
	}
	s, err := Open(context.Background(), dir, time.Now)
	if err != nil {
		panic(err)
	}
	t := &testing.T{} // for its Fatal only, which these entries never reach
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			for i := from + w; i < to; i += writers {
				r, err := s.Append(context.Background(), killed(t, i))
				if err != nil {
					panic(err)
				}
				line, err := json.Marshal(acked{i, r})
				if err != nil {
					panic(err)
				}
				if _, err := os.Stdout.Write(append(line, '\n')); err != nil {
					panic(err)
				}
			}
		})
	}
	wg.Wait()
	os.Exit(0) // without Close: ending is no different from being killed
}

// run starts a child and kills it once it has said so many receipts and a little
// more time has gone; 0 lets it end by itself.
func run(t *testing.T, dir string, from, to, writers, after int, more time.Duration) []acked {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childVar+"="+fmt.Sprintf("%d %d %d %s", from, to, writers, dir))
	cmd.Stderr = os.Stderr
	pipe, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var out []acked
	lines := bufio.NewScanner(pipe)
	var kill sync.WaitGroup
	for lines.Scan() {
		var a acked
		if err := json.Unmarshal(lines.Bytes(), &a); err != nil {
			t.Fatalf("%v: %q", err, lines.Text())
		}
		out = append(out, a)
		if len(out) == after {
			kill.Go(func() { // the pipe is read on meanwhile: a full one would hold the child back
				time.Sleep(more)
				cmd.Process.Kill() // SIGKILL
			})
		}
	}
	if err := lines.Err(); err != nil && err != io.EOF {
		t.Fatal(err)
	}
	kill.Wait()
	err = cmd.Wait()
	if after == 0 && err != nil {
		t.Fatalf("the child ended badly: %v", err)
	}
	if after > 0 && (err == nil || !strings.Contains(err.Error(), "killed")) {
		t.Fatalf("the child was not killed: %v after %d receipts", err, len(out))
	}
	return out
}

// fromEnv is a whole number from the environment: FETTLE_TEST_KILLS for a longer
// run, FETTLE_TEST_SEED for other moments.
func fromEnv(t *testing.T, name string, otherwise int) int {
	t.Helper()
	text := os.Getenv(name)
	if text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return n
}

// TestKill kills the writing program in the middle of a thousand writes, again
// and again, at moments drawn from the seed. Every receipt that came out of it
// must hold each time, and writes in doubt, sent again with the same keys, must
// be there once.
func TestKill(t *testing.T) {
	seed, writes, kills, writers := fromEnv(t, "FETTLE_TEST_SEED", 20260301), 1000, 8, 4
	if testing.Short() {
		writes, kills = 250, 2
		t.Logf("short: %d writes and %d kills in place of 1000 and 8", writes, kills)
	}
	if more := fromEnv(t, "FETTLE_TEST_KILLS", 0); more > 0 {
		writes, kills = 40*more, more
	}
	ctx := context.Background()
	dir := t.TempDir()
	chance := rand.New(rand.NewPCG(uint64(seed), 0))
	ledger := map[int][]entry.Receipt{} // write -> the receipts that came out
	inDoubt, durable := 0, 0
	for from, round := 0, 0; from < writes; round++ {
		share := (writes - from) / (kills - round + 1)
		after, more := 0, time.Duration(0)
		if round < kills {
			after, more = 1+chance.IntN(share), time.Duration(chance.IntN(3000))*time.Microsecond
		}
		// A killed child may write to the end, so that it never ends before.
		to := writes
		if after > 0 {
			to = 1 << 20
		}
		said := run(t, dir, from, to, writers, after, more)
		s := open(t, dir)
		doubt := make([]int, writers) // each writer's first write without a receipt
		for w := range doubt {
			doubt[w] = from + w
		}
		for _, a := range said {
			if first, ok := ledger[a.Write]; ok && !slices.Equal(first, a.Receipts) {
				t.Fatalf("seed %d: write %d has the receipts %+v, and before had %+v", seed, a.Write, a.Receipts, first)
			}
			ledger[a.Write] = a.Receipts
			doubt[(a.Write-from)%writers] = a.Write + writers
		}
		for write, receipts := range ledger {
			for _, r := range receipts {
				if err := s.Holds(ctx, r); err != nil {
					t.Fatalf("seed %d, round %d: a receipt of write %d does not hold: %v", seed, round, write, err)
				}
			}
		}
		// What was being written when the child died is in doubt: send it again.
		for _, next := range doubt {
			if _, ok := ledger[next]; ok || next >= to {
				continue
			}
			inDoubt++
			durable += rowsOf(t, s, killed(t, next)[0].Key)
			r, err := s.Append(ctx, killed(t, next))
			if err != nil {
				t.Fatal(err)
			}
			ledger[next] = r
		}
		check(t, s, ledger)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		for from = 0; ledger[from] != nil; from++ {
		}
	}
	if len(ledger) < writes || inDoubt < kills {
		t.Errorf("%d writes acknowledged of %d, %d in doubt", len(ledger), writes, inDoubt)
	}
	t.Logf("seed %d: %d writes, %d kills, 0 receipts lost, %d writes sent again, %d of them were there already",
		seed, len(ledger), kills, inDoubt, durable)
}

func rowsOf(t *testing.T, s *Store, key entry.Key) int {
	t.Helper()
	var n int
	if err := s.read.QueryRow("SELECT count(*) FROM entry WHERE key = $1", key[:]).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

// check holds the whole store against the ledger: chains and structure sound,
// each entry once with the content it was sent with and the receipt it got, and
// nothing else.
func check(t *testing.T, s *Store, ledger map[int][]entry.Receipt) {
	t.Helper()
	ctx := context.Background()
	heads, err := s.Verify(ctx)
	if err != nil {
		t.Fatal(err)
	}
	stored := map[entry.Key]entry.Row{}
	for _, h := range heads {
		rows, err := s.Rows(ctx, h.Stream, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			stored[r.Key] = r
		}
	}
	sent := 0
	for write, receipts := range ledger {
		for i, e := range killed(t, write) {
			sent++
			r, ok := stored[e.Key]
			if !ok || !r.Same(&e) || receipts[i] != receipt(&r) {
				t.Fatalf("write %d, entry %d: stored %v, %+v with receipt %+v", write, i, ok, r, receipts[i])
			}
		}
	}
	if sent != len(stored) {
		t.Fatalf("%d entries were sent, %d are stored", sent, len(stored))
	}
}
