package assign

import (
	"encoding/binary"
	"encoding/json"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

// peers is the folder into which the work of scripts/peers/assign.sh goes.
var peers = flag.String("peers", "", "folder for the work that other programs are held against")

// peer is one square of costs with what we made of it.
type peer struct {
	N       int     `json:"n"`
	File    string  `json:"file"` // n·n costs, int64, little end first
	Cost    int64   `json:"cost"`
	Seconds float64 `json:"seconds"` // least of the runs
}

// TestPeers writes dense random squares of costs with our least sums and times, for
// scipy to be held against in the same run. Seeded; synthetic.
func TestPeers(t *testing.T) {
	if *peers == "" {
		t.Skip("only for scripts/peers/assign.sh")
	}
	if err := os.MkdirAll(*peers, 0o755); err != nil {
		t.Fatal(err)
	}
	var out []peer
	for _, n := range []int{200, 1000} {
		for seed := range uint64(3) {
			r := rand.New(rand.NewPCG(seed, uint64(n)))
			rows, raw := make([][]int64, n), make([]byte, 0, 8*n*n)
			for i := range rows {
				rows[i] = make([]int64, n)
				for j := range rows[i] {
					rows[i][j] = r.Int64N(1_000_000)
					raw = binary.LittleEndian.AppendUint64(raw, uint64(rows[i][j]))
				}
			}
			p := peer{N: n, File: strconv.Itoa(n) + "-" + strconv.FormatUint(seed, 10) + ".bin", Seconds: 1e9}
			for range 5 {
				m, err := NewMatrix(rows)
				if err != nil {
					t.Fatal(err)
				}
				from := time.Now()
				l, err := Min(m)
				p.Seconds = min(p.Seconds, time.Since(from).Seconds())
				if err != nil || l.Certify(m) != nil {
					t.Fatal(err)
				}
				p.Cost = l.Cost
			}
			if err := os.WriteFile(filepath.Join(*peers, p.File), raw, 0o644); err != nil {
				t.Fatal(err)
			}
			out = append(out, p)
		}
	}
	b, err := json.Marshal(out)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*peers, "assign.json"), b, 0o644); err != nil {
		t.Fatal(err)
	}
}
