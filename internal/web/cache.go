package web

import (
	"container/list"
	"sync"
)

// cache keeps what was used last, up to a total weight.
type cache[V any] struct {
	mu     sync.Mutex
	most   int // weight
	weight int
	order  *list.List // of *cacheItem[V], latest first
	byKey  map[string]*list.Element
}

type cacheItem[V any] struct {
	key    string
	value  V
	weight int
}

func newCache[V any](most int) *cache[V] {
	return &cache[V]{most: most, order: list.New(), byKey: map[string]*list.Element{}}
}

func (c *cache[V]) get(key string) (v V, ok bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	e, ok := c.byKey[key]
	if !ok {
		return v, false
	}
	c.order.MoveToFront(e)
	return e.Value.(*cacheItem[V]).value, true
}

// put keeps a value; one that is heavier than the whole cache is not kept.
func (c *cache[V]) put(key string, v V, weight int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if e, ok := c.byKey[key]; ok {
		c.drop(e)
	}
	if weight > c.most {
		return
	}
	c.byKey[key] = c.order.PushFront(&cacheItem[V]{key, v, weight})
	c.weight += weight
	for c.weight > c.most {
		c.drop(c.order.Back())
	}
}

func (c *cache[V]) drop(e *list.Element) {
	item := e.Value.(*cacheItem[V])
	c.order.Remove(e)
	delete(c.byKey, item.key)
	c.weight -= item.weight
}
