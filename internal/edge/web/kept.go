package web

import (
	"container/list"
	"sync"
)

// mostKept bounds the rendered pages that are kept, in bytes as they are kept.
const mostKept = 48 << 20

// kept holds rendered pages under a mark of everything they were made of: the
// heads of the logs, the knowledge, how the reader reads, the address. A write
// changes a head, so what it made old is never asked for again and falls out at
// the end. Nothing in it is of its own.
type kept struct {
	mu    sync.Mutex
	pages map[string]*list.Element
	order list.List // newest use first
	bytes int
}

type keptPage struct {
	mark string
	body []byte
}

func (k *kept) get(mark string) []byte {
	k.mu.Lock()
	defer k.mu.Unlock()
	e := k.pages[mark]
	if e == nil {
		return nil
	}
	k.order.MoveToFront(e)
	return e.Value.(*keptPage).body
}

func (k *kept) put(mark string, body []byte) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.pages == nil {
		k.pages = map[string]*list.Element{}
	}
	if k.pages[mark] != nil || len(body) > mostKept/8 {
		return
	}
	k.pages[mark] = k.order.PushFront(&keptPage{mark, body})
	for k.bytes += len(body); k.bytes > mostKept; {
		last := k.order.Back()
		p := last.Value.(*keptPage)
		k.order.Remove(last)
		delete(k.pages, p.mark)
		k.bytes -= len(p.body)
	}
}
