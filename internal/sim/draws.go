package sim

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
)

// Progress is called now and then with the work done and the whole of it; calls
// do not overlap.
type Progress func(done, total int)

// drawsFor checks a wanted number of draws and cuts it to what a replayed
// record holds.
func (s *Study) drawsFor(draws int) (int, error) {
	if most := s.source.Draws(); most > 0 && draws > most {
		draws = most
	}
	if draws < 1 || draws > MaxDraws {
		return 0, fmt.Errorf("%d draws: use 1 to %d", draws, MaxDraws)
	}
	return draws, nil
}

// workersFor is how many workers share n pieces of work.
func workersFor(n int) int { return max(1, min(runtime.GOMAXPROCS(0), n)) }

// forEach hands pieces 0..n-1 out to workers in chunks, until all are done or
// ctx ends. do must not depend on which worker takes a piece.
func forEach(ctx context.Context, workers, n, chunk int, progress Progress, do func(worker, i int) error) error {
	var next, done atomic.Int64
	var mu sync.Mutex
	g, ctx := errgroup.WithContext(ctx)
	for w := range workers {
		g.Go(func() error {
			for {
				from := int(next.Add(int64(chunk))) - chunk
				if from >= n {
					return nil
				}
				to := min(from+chunk, n)
				for i := from; i < to; i++ {
					if err := ctx.Err(); err != nil {
						return err
					}
					if err := do(w, i); err != nil {
						return err
					}
				}
				all := int(done.Add(int64(to - from)))
				if progress != nil {
					mu.Lock()
					progress(all, n)
					mu.Unlock()
				}
			}
		})
	}
	return g.Wait()
}
