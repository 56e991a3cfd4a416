package chart

// contours returns the lines on which z, given at the crossings of the grid
// lines xs and ys as z[y][x], passes through level, by marching squares (Maple
// 2003, "Geometric design and space planning using the marching squares and
// marching cube algorithms", Proc. Geometric Modeling and Graphics: 90-95).
// Saddles are decided by the mean of the four corners. The lines come in a
// fixed order: open ones first, as met from the first corner.
func contours(xs, ys []float64, z [][]float64, level float64) [][]point {
	m := &squares{xs: xs, ys: ys, z: z, level: level, ends: map[edge][]int{}}
	for j := 0; j+1 < len(ys); j++ {
		for i := 0; i+1 < len(xs); i++ {
			m.cell(i, j)
		}
	}
	return m.join()
}

// edge is a side of a cell: from grid point (i, j) to the right or upwards.
type edge struct {
	i, j int
	up   bool
}

type squares struct {
	xs, ys   []float64
	z        [][]float64
	level    float64
	segments [][2]edge
	ends     map[edge][]int // the one or two segments that end on an edge
}

func (m *squares) in(i, j int) bool { return m.z[j][i] >= m.level }

// cell adds the segments that cross the cell above and right of (i, j).
func (m *squares) cell(i, j int) {
	bottom, right, top, left := edge{i, j, false}, edge{i + 1, j, true}, edge{i, j + 1, false}, edge{i, j, true}
	code := 0
	for k, in := range [4]bool{m.in(i, j), m.in(i+1, j), m.in(i+1, j+1), m.in(i, j+1)} {
		if in {
			code |= 1 << k
		}
	}
	switch code {
	case 1, 14:
		m.add(left, bottom)
	case 2, 13:
		m.add(bottom, right)
	case 3, 12:
		m.add(left, right)
	case 4, 11:
		m.add(right, top)
	case 6, 9:
		m.add(bottom, top)
	case 7, 8:
		m.add(left, top)
	case 5, 10:
		mean := (m.z[j][i] + m.z[j][i+1] + m.z[j+1][i] + m.z[j+1][i+1]) / 4
		if (mean >= m.level) == (code == 5) { // the high corners are joined
			m.add(left, top)
			m.add(bottom, right)
		} else {
			m.add(left, bottom)
			m.add(right, top)
		}
	}
}

func (m *squares) add(a, b edge) {
	m.ends[a] = append(m.ends[a], len(m.segments))
	m.ends[b] = append(m.ends[b], len(m.segments))
	m.segments = append(m.segments, [2]edge{a, b})
}

// at is where the level is met on an edge.
func (m *squares) at(e edge) point {
	i2, j2 := e.i+1, e.j
	if e.up {
		i2, j2 = e.i, e.j+1
	}
	a, b := m.z[e.j][e.i], m.z[j2][i2]
	k := (m.level - a) / (b - a)
	return point{m.xs[e.i] + k*(m.xs[i2]-m.xs[e.i]), m.ys[e.j] + k*(m.ys[j2]-m.ys[e.j])}
}

// join strings the segments together.
func (m *squares) join() [][]point {
	var out [][]point
	used := make([]bool, len(m.segments))
	trace := func(first int, from edge) {
		line := []point{m.at(from)}
		for seg, e := first, from; ; {
			used[seg] = true
			next := m.segments[seg][0]
			if next == e {
				next = m.segments[seg][1]
			}
			line = append(line, m.at(next))
			e, seg = next, m.beyond(next, seg)
			if seg < 0 || used[seg] {
				break
			}
		}
		out = append(out, line)
	}
	for s, ends := range m.segments { // open lines, from an end
		for _, e := range ends {
			if !used[s] && len(m.ends[e]) == 1 {
				trace(s, e)
			}
		}
	}
	for s, ends := range m.segments { // what is left are rings
		if !used[s] {
			trace(s, ends[0])
		}
	}
	return out
}

// beyond is the other segment at an edge, or -1.
func (m *squares) beyond(e edge, seg int) int {
	for _, s := range m.ends[e] {
		if s != seg {
			return s
		}
	}
	return -1
}
