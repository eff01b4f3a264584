package gum

import "hash/fnv"

// block is how many draws are made at once: the columns of the nodes that are
// alive then stay in the cache of one core.
const block = 512

// plan is the part of a graph behind some nodes, in an order in which it can be
// drawn. It is only read; each worker has columns of its own.
type plan struct {
	steps   []step
	columns int
	out     []int // columns of the nodes asked for
	fixed   []step
	heavy   []bool // of the nodes asked for: a cause behind it has no deviation
}

// step fills one column.
type step struct {
	to    int
	shape Shape // of a leaf
	cause uint64
	pool  int // column of √(ν/χ²), or -1
	rel   *Relation
	args  [][]int
	x     [][]float64 // values of the arguments at the estimates, for weights
	base  float64     // value of a fixed leaf; constant term of a linear relation
	slope [][]float64 // weights of a linear relation
}

// planner makes a plan.
type planner struct {
	*plan
	g     *Graph
	uses  []int // of a node, by those to come
	at    []int // column of a node, or -1
	heavy []bool
	pools map[string]int
	free  []int
}

// plan lists what must be drawn for the nodes ids.
func (g *Graph) plan(ids []ID) *plan {
	p := &planner{plan: &plan{}, g: g, uses: make([]int, len(g.nodes)), at: make([]int, len(g.nodes)), heavy: make([]bool, len(g.nodes)),
		pools: map[string]int{}}
	for i := range p.at {
		p.at[i] = -1
	}
	for _, id := range ids {
		p.count(id)
		p.uses[id]++ // a node asked for keeps its column to the end of the block
	}
	for _, id := range ids {
		p.visit(id)
		p.out = append(p.out, p.at[id])
		p.plan.heavy = append(p.plan.heavy, p.heavy[id])
	}
	return p.plan
}

// count says how often each node behind id is an argument.
func (p *planner) count(id ID) {
	if p.uses[id]++; p.uses[id] > 1 {
		return
	}
	for _, list := range p.g.nodes[id].args {
		for _, a := range list {
			p.count(a)
		}
	}
}

func (p *planner) column() int {
	if n := len(p.free); n > 0 {
		c := p.free[n-1]
		p.free = p.free[:n-1]
		return c
	}
	return p.fresh()
}

// fresh is a column that no step has had.
func (p *planner) fresh() int {
	p.columns++
	return p.columns - 1
}

// visit adds the steps of a node behind those of its arguments.
func (p *planner) visit(id ID) {
	if p.at[id] >= 0 {
		return
	}
	n := &p.g.nodes[id]
	if n.leaf >= 0 {
		p.leaf(id, &p.g.leaves[n.leaf])
		return
	}
	s := step{rel: n.rel, args: make([][]int, len(n.args)), x: make([][]float64, len(n.args))}
	for i, list := range n.args {
		s.args[i], s.x[i] = make([]int, len(list)), make([]float64, len(list))
		for j, a := range list {
			p.visit(a)
			s.args[i][j], s.x[i][j] = p.at[a], p.g.nodes[a].value
			p.heavy[id] = p.heavy[id] || p.heavy[a]
		}
	}
	s.to = p.column() // before its arguments are let go: they may not share it
	p.at[id] = s.to
	for _, list := range n.args {
		for _, a := range list {
			if p.uses[a]--; p.uses[a] == 0 && !p.constant(a) {
				p.free = append(p.free, p.at[a])
			}
		}
	}
	if n.rel.Linear {
		s.weigh(n.value)
	}
	p.steps = append(p.steps, s)
}

func (p *planner) constant(id ID) bool {
	n := &p.g.nodes[id]
	return n.leaf >= 0 && p.g.leaves[n.leaf].U == 0
}

// weigh takes the weights of a linear relation from its partials.
func (s *step) weigh(y float64) {
	s.slope, s.base = make([][]float64, len(s.x)), y
	for i := range s.x {
		s.slope[i] = make([]float64, len(s.x[i]))
	}
	s.rel.Partials(s.x, s.slope)
	for i := range s.x {
		for j := range s.x[i] {
			s.base -= s.slope[i][j] * s.x[i][j]
		}
	}
}

// leaf adds the step of a cause. A known value fills its column once for all.
func (p *planner) leaf(id ID, l *Leaf) {
	s := step{pool: -1, base: l.Value}
	if l.U == 0 {
		s.to = p.fresh()
		p.at[id] = s.to
		p.fixed = append(p.fixed, s)
		return
	}
	s.to = p.column()
	p.at[id] = s.to
	s.shape = shaped(l)
	s.cause = name(l.Key, p.g.byKey[l.Key] == id, p.g.nodes[id].leaf)
	if s.shape.dist == Student {
		if l.Pool != "" {
			s.pool = p.pool(l.Pool, s.shape.form)
		}
		p.heavy[id] = s.shape.form <= 2
	}
	p.steps = append(p.steps, s)
}

// pool is the column of a shared estimate of scatter.
func (p *planner) pool(key string, dof float64) int {
	c, ok := p.pools[key]
	if !ok {
		c = p.fresh()
		p.pools[key] = c
		p.steps = append(p.steps, step{to: c, pool: c, base: dof, cause: name("pool:"+key, true, 0)})
	}
	return c
}

// name is the number of a cause's stream: from its key, so that the order of
// causes makes no difference, or from its place where it has no key.
func name(key string, shared bool, at int32) uint64 {
	if !shared || key == "" {
		return mix64(uint64(at) + 1)
	}
	h := fnv.New64a()
	h.Write([]byte(key))
	return mix64(h.Sum64() ^ golden)
}
