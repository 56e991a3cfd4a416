//go:build ignore

// Convert makes world.bin from the file countries-50m.json of the npm package
// world-atlas (Natural Earth 1:50m as TopoJSON); see README.md.
//
//	go run convert.go countries-50m.json world.bin
package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"log"
	"math"
	"os"
)

// The package's format: points in 1/100 degree, and the tolerance of the
// simplification in the same unit (about 550 m).
const (
	perDegree = 100
	tolerance = 0.5
)

type topology struct {
	Transform struct{ Scale, Translate [2]float64 }
	Arcs      [][][2]float64
	Objects   map[string]struct{ Geometries []geometry }
}

type geometry struct {
	Type string
	Arcs json.RawMessage
}

type point struct{ x, y int }

func main() {
	log.SetFlags(0)
	if len(os.Args) != 3 {
		log.Fatal("usage: go run convert.go countries-50m.json world.bin")
	}
	text, err := os.ReadFile(os.Args[1])
	check(err)
	var t topology
	check(json.Unmarshal(text, &t))
	arcs := t.arcs()
	land := rings(t.Objects["land"].Geometries)
	out := encode(arcs, land, t.borders())
	check(os.WriteFile(os.Args[2], out, 0o644))
	points := 0
	for _, a := range arcs {
		points += len(a)
	}
	fmt.Printf("%d arcs, %d points, %d rings, %d bytes\n", len(arcs), points, len(land), len(out))
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}

// arcs are the decoded, simplified arcs.
func (t *topology) arcs() [][]point {
	out := make([][]point, len(t.Arcs))
	for i, arc := range t.Arcs {
		x, y := 0.0, 0.0
		line := make([][2]float64, len(arc))
		for k, d := range arc {
			x, y = x+d[0], y+d[1]
			line[k] = [2]float64{
				(x*t.Transform.Scale[0] + t.Transform.Translate[0]) * perDegree,
				(y*t.Transform.Scale[1] + t.Transform.Translate[1]) * perDegree,
			}
		}
		for _, p := range simplify(line) {
			q := point{int(math.Round(p[0])), int(math.Round(p[1]))}
			if n := len(out[i]); n == 0 || n == 1 || out[i][n-1] != q {
				out[i] = append(out[i], q)
			}
		}
	}
	return out
}

// simplify is the algorithm of Douglas & Peucker (1973), The Canadian
// Cartographer 10(2): 112-122.
func simplify(line [][2]float64) [][2]float64 {
	if len(line) < 3 {
		return line
	}
	a, b := line[0], line[len(line)-1]
	worst, at := -1.0, 0
	for i := 1; i < len(line)-1; i++ {
		if d := distance(line[i], a, b); d > worst {
			worst, at = d, i
		}
	}
	closed := a == b
	if worst <= tolerance && !closed {
		return [][2]float64{a, b}
	}
	left := simplify(line[:at+1])
	return append(left[:len(left)-1:len(left)-1], simplify(line[at:])...)
}

func distance(p, a, b [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = max(0, min(1, ((p[0]-a[0])*dx+(p[1]-a[1])*dy)/l))
	}
	return math.Hypot(p[0]-a[0]-t*dx, p[1]-a[1]-t*dy)
}

// rings lists the rings of polygons as arc references (~i = reversed).
func rings(gs []geometry) (out [][]int) {
	for _, g := range gs {
		switch g.Type {
		case "Polygon":
			var r [][]int
			check(json.Unmarshal(g.Arcs, &r))
			out = append(out, r...)
		case "MultiPolygon":
			var ps [][][]int
			check(json.Unmarshal(g.Arcs, &ps))
			for _, r := range ps {
				out = append(out, r...)
			}
		case "GeometryCollection":
			log.Fatal("nested geometry")
		}
	}
	return out
}

// borders are the arcs that two countries share.
func (t *topology) borders() (out []int) {
	uses := make([]int, len(t.Arcs))
	for _, r := range rings(t.Objects["countries"].Geometries) {
		for _, a := range r {
			if a < 0 {
				a = ^a
			}
			uses[a]++
		}
	}
	for i, n := range uses {
		if n > 1 {
			out = append(out, i)
		}
	}
	return out
}

// encode writes arcs (count; per arc: points, first point, differences), rings
// (count; per ring: references) and borders (count, indices), all as varints.
func encode(arcs [][]point, land [][]int, borders []int) []byte {
	var b bytes.Buffer
	put := func(v int) { b.Write(binary.AppendVarint(nil, int64(v))) }
	put(len(arcs))
	for _, a := range arcs {
		put(len(a))
		last := point{}
		for _, p := range a {
			put(p.x - last.x)
			put(p.y - last.y)
			last = p
		}
	}
	put(len(land))
	for _, r := range land {
		put(len(r))
		for _, i := range r {
			put(i)
		}
	}
	put(len(borders))
	for _, i := range borders {
		put(i)
	}
	return b.Bytes()
}
