//go:build unix

package assess_test

import (
	"encoding/json"
	"flag"
	"os"
	"runtime"
	"syscall"
	"testing"
	"time"

	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/maths/gum"
)

var peers = flag.String("peers", "", "write the model behind the clearances of the six, what we draw from it and how long that takes")

// node is one node for scripts/peers/draws.py: a cause, or a relation by name
// with the numbers of its arguments.
type node struct {
	Dist string  `json:"dist,omitempty"`
	X    float64 `json:"x"`
	U    float64 `json:"u"`
	Dof  float64 `json:"dof,omitempty"`
	Pool string  `json:"pool,omitempty"`
	Rel  string  `json:"rel,omitempty"`
	Args [][]int `json:"args,omitempty"`
}

type drawn struct {
	Position  string  `json:"position"`
	Node      int     `json:"node"`
	Mean      float64 `json:"mean"`
	Deviation float64 `json:"deviation"`
	Low       float64 `json:"low"`
	High      float64 `json:"high"`
	Heavy     bool    `json:"heavy"`
}

// model lists the nodes behind some values, arguments first.
func model(a *assess.Assessment, at []string) (nodes []node, out []drawn) {
	g, seen := a.Graph(), map[gum.ID]int{}
	names := []string{"normal", "rectangular", "triangular", "arcsine"}
	var walk func(gum.ID) int
	walk = func(id gum.ID) int {
		if k, ok := seen[id]; ok {
			return k
		}
		var n node
		rel, args, leaf := g.Because(id)
		if leaf != nil {
			n = node{Dist: names[leaf.Dist], X: leaf.Value, U: leaf.U, Dof: leaf.Dof, Pool: leaf.Pool}
		} else {
			n = node{Rel: rel.Name, X: g.Value(id)}
			for _, list := range args {
				in := make([]int, len(list))
				for j, b := range list {
					in[j] = walk(b)
				}
				n.Args = append(n.Args, in)
			}
		}
		nodes = append(nodes, n)
		seen[id] = len(nodes) - 1
		return seen[id]
	}
	for _, p := range at {
		v, _ := a.Find(p, job.Found)
		out = append(out, drawn{Position: p, Node: walk(v.Node())})
	}
	return nodes, out
}

// TestPeers writes what make bench-peers holds against numpy. It checks nothing
// by itself and only runs where a file is named.
func TestPeers(t *testing.T) {
	if *peers == "" {
		t.Skip("for scripts/bench-peers.sh")
	}
	a, at := clearances(t)
	nodes, out := model(a, at)
	const draws = 1_000_000
	seconds, cpu := map[int]float64{}, map[int]float64{}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, cores := range []int{1, 2} {
		runtime.GOMAXPROCS(cores)
		best, work := time.Hour, time.Hour
		for range 3 {
			start, busy := time.Now(), spent(t)
			d, err := a.Cloud(at, job.Found, gum.Sampling{Seed: 1, Draws: draws})
			if err != nil {
				t.Fatal(err)
			}
			best, work = min(best, time.Since(start)), min(work, spent(t)-busy)
			for i, s := range d.Of {
				o := &out[i]
				o.Mean, o.Deviation, o.Low, o.High, o.Heavy = s.Mean, s.Deviation, s.Low, s.High, s.Heavy
			}
		}
		seconds[cores], cpu[cores] = best.Seconds(), work.Seconds()
	}
	b, err := json.Marshal(map[string]any{"draws": draws, "seconds": seconds, "cpu": cpu, "nodes": nodes, "out": out})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(*peers, b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// spent is the time that this program has kept cores busy.
func spent(t *testing.T) time.Duration {
	t.Helper()
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		t.Fatal(err)
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
