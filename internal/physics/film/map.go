package film

import (
	"bytes"
	"crypto/sha256"
	_ "embed" // the map is a table of this room
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"sync"
)

// Map holds charts of several L/D; those between are interpolated.
type Map struct {
	ratios []float64
	nu, ns int
	node   [][]float32 // of each ratio A, B, C and side flow at each node
	digest string
}

// mapHead opens the file of a map; the version stands in it.
const mapHead = "film map 1\n"

//go:generate go run fettle/cmd/filmmap mobility.bin
//go:embed mobility.bin
var mobility []byte

// Maps returns the map that was made for this program by cmd/filmmap.
//
// Shapes: -> the map.
// Units:  none.
// Errors: a map that is not whole; a test reads it, so a build that passes has
// none.
var Maps = sync.OnceValues(func() (*Map, error) { return ReadMap(mobility) })

// ReadMap reads a map from its bytes.
//
// Shapes: bytes -> the map.
// Units:  none.
// Errors: another version, a wrong length, a number that is not finite.
func ReadMap(b []byte) (*Map, error) {
	sum := sha256.Sum256(b)
	m := &Map{digest: hex.EncodeToString(sum[:])}
	rest, ok := bytes.CutPrefix(b, []byte(mapHead))
	if !ok || len(rest) < 12 {
		return nil, fmt.Errorf("film: the map does not begin with %q", mapHead)
	}
	le := binary.LittleEndian
	count := int(le.Uint32(rest))
	m.nu, m.ns = int(le.Uint32(rest[4:])), int(le.Uint32(rest[8:]))
	rest = rest[12:]
	if count < 4 || count > 100 || m.nu < 4 || m.nu > 1000 || m.ns < 4 || m.ns > 1000 || len(rest) != count*(8+16*m.nu*m.ns) {
		return nil, fmt.Errorf("film: a map of %d ratios by %d by %d in %d bytes", count, m.nu, m.ns, len(b))
	}
	for range count {
		m.ratios = append(m.ratios, math.Float64frombits(le.Uint64(rest)))
		rest = rest[8:]
		node := make([]float32, 4*m.nu*m.ns)
		for i := range node {
			node[i] = math.Float32frombits(le.Uint32(rest[4*i:]))
			if !finite(float64(node[i])) {
				return nil, errors.New("film: the map holds a number that is not finite")
			}
		}
		m.node = append(m.node, node)
		rest = rest[4*len(node):]
	}
	return m, nil
}

// Bytes writes a map as ReadMap reads it.
func (m *Map) Bytes() []byte {
	le := binary.LittleEndian
	b := []byte(mapHead)
	for _, n := range []int{len(m.ratios), m.nu, m.ns} {
		b = le.AppendUint32(b, uint32(n))
	}
	for i, r := range m.ratios {
		b = le.AppendUint64(b, math.Float64bits(r))
		for _, x := range m.node[i] {
			b = le.AppendUint32(b, math.Float32bits(x))
		}
	}
	return b
}

// Digest is the SHA-256 of the map's bytes, in hex.
func (m *Map) Digest() string { return m.digest }

// Range returns the L/D of lands that the map holds.
func (m *Map) Range() (least, most float64) { return m.ratios[0], m.ratios[len(m.ratios)-1] }

// finer is how many steps of a chart lie in one of the map.
const finer = 3

// Chart makes the chart of one L/D: cubics through four neighbours in the
// logarithm of L/D, then along both coordinates.
//
// Shapes: scalar -> chart.
// Units:  ratio.
// Errors: L/D outside the map.
func (m *Map) Chart(ratio float64) (*Chart, error) {
	least, most := m.Range()
	if !(ratio >= least && ratio <= most) {
		return nil, fmt.Errorf("film: length over diameter of a land is %.4g, expected %.3g to %.3g", ratio, least, most)
	}
	from := 0
	for from+4 < len(m.ratios) && m.ratios[from+2] < ratio {
		from++
	}
	var xs [4]float64
	for i := range xs {
		xs[i] = math.Log(m.ratios[from+i])
	}
	w := lagrange(xs, math.Log(ratio))
	node := make([]float64, 4*m.nu*m.ns)
	for i := range node {
		for k, wk := range w {
			node[i] += wk * float64(m.node[from+k][i])
		}
	}
	nu, ns := finer*(m.nu-1)+1, finer*(m.ns-1)+1
	// along u, whole rows at once, then along s
	rows := make([]float64, 4*nu*m.ns)
	for i := range nu {
		at, w := between(i, m.nu)
		for j := range 4 * m.ns {
			for k, wk := range w {
				rows[i*4*m.ns+j] += wk * node[(at+k)*4*m.ns+j]
			}
		}
	}
	c := blank(ratio, nu, ns)
	for j := range ns {
		at, w := between(j, m.ns)
		for i := range nu {
			var sum [4]float64
			for k, wk := range w {
				for q, x := range rows[(i*m.ns+at+k)*4:][:4] {
					sum[q] += wk * x
				}
			}
			c.set(i, j, sum)
		}
	}
	return c, nil
}

// between gives the first of four nodes about fine step i, and their weights.
func between(i, n int) (int, [4]float64) {
	x := float64(i) / finer
	at := max(0, min(int(x)-1, n-4))
	return at, lagrange([4]float64{0, 1, 2, 3}, x-float64(at))
}

// lagrange gives the weights of the cubic through four places.
func lagrange(xs [4]float64, x float64) (w [4]float64) {
	for i := range w {
		w[i] = 1
		for j := range xs {
			if j != i {
				w[i] *= (x - xs[j]) / (xs[i] - xs[j])
			}
		}
	}
	return w
}
