package chart

import (
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
)

// subsetFont returns a TrueType font with only the glyphs of the given
// characters (and of the parts they are composed of), without hinting, kerning
// and layout tables: a picture needs a few kilobytes of it instead of 400.
// Table layouts: ISO/IEC 14496-22, Open Font Format.
func subsetFont(ttf []byte, used map[rune]bool) ([]byte, error) {
	src, err := readTables(ttf)
	if err != nil {
		return nil, err
	}
	runes, glyphOf, err := glyphsOf(ttf, used)
	if err != nil {
		return nil, err
	}
	keep := []int{0}
	for _, r := range runes {
		keep = append(keep, glyphOf[r])
	}
	keep, err = src.closure(keep)
	if err != nil {
		return nil, err
	}
	renumbered := make(map[int]int, len(keep))
	for i, g := range keep {
		renumbered[g] = i
	}
	glyf, loca, err := src.glyphs(keep, renumbered)
	if err != nil {
		return nil, err
	}
	head := slices.Clone(src.table["head"])
	binary.BigEndian.PutUint16(head[50:], 1) // long offsets
	binary.BigEndian.PutUint32(head[8:], 0)  // checksum, set last
	hhea := slices.Clone(src.table["hhea"])
	binary.BigEndian.PutUint16(hhea[34:], uint16(len(keep)))
	maxp := slices.Clone(src.table["maxp"])
	binary.BigEndian.PutUint16(maxp[4:], uint16(len(keep)))
	post := slices.Clone(src.table["post"][:32])
	binary.BigEndian.PutUint32(post, 0x00030000) // no glyph names

	return writeTables(map[string][]byte{
		"OS/2": src.table["OS/2"],
		"cmap": cmapTable(runes, func(r rune) int { return renumbered[glyphOf[r]] }),
		"glyf": glyf,
		"head": head,
		"hhea": hhea,
		"hmtx": src.metrics(keep),
		"loca": loca,
		"maxp": maxp,
		"name": nameTable(),
		"post": post,
	}), nil
}

// glyphsOf returns the used characters that the font has, in their order, and
// their glyphs.
func glyphsOf(ttf []byte, used map[rune]bool) ([]rune, map[rune]int, error) {
	face, err := opentype.Parse(ttf)
	if err != nil {
		return nil, nil, err
	}
	var runes []rune
	glyphOf := map[rune]int{}
	var buf sfnt.Buffer
	for r := range used {
		g, err := face.GlyphIndex(&buf, r)
		if err != nil {
			return nil, nil, err
		}
		if g != 0 && r < 0xFFFF {
			glyphOf[r] = int(g)
			runes = append(runes, r)
		}
	}
	slices.Sort(runes)
	return runes, glyphOf, nil
}

// withoutKerning drops the tables that move letters towards each other.
func withoutKerning(ttf []byte) []byte {
	t, err := readTables(ttf)
	if err != nil {
		panic("chart: the built-in font: " + err.Error())
	}
	delete(t.table, "kern")
	delete(t.table, "GPOS")
	delete(t.table, "GSUB")
	t.table["head"] = slices.Clone(t.table["head"])
	binary.BigEndian.PutUint32(t.table["head"][8:], 0)
	return writeTables(t.table)
}

// tables is a font file taken apart.
type tables struct {
	table    map[string][]byte
	longLoca bool
	nMetrics int
	nGlyphs  int
}

func readTables(ttf []byte) (*tables, error) {
	bad := errors.New("the font file is damaged")
	if len(ttf) < 12 {
		return nil, bad
	}
	t := &tables{table: map[string][]byte{}}
	for i := range int(binary.BigEndian.Uint16(ttf[4:])) {
		rec := 12 + 16*i
		if rec+16 > len(ttf) {
			return nil, bad
		}
		off, n := int(binary.BigEndian.Uint32(ttf[rec+8:])), int(binary.BigEndian.Uint32(ttf[rec+12:]))
		if off < 0 || n < 0 || off+n > len(ttf) {
			return nil, bad
		}
		t.table[string(ttf[rec:rec+4])] = ttf[off : off+n]
	}
	for name, least := range map[string]int{"head": 54, "hhea": 36, "maxp": 6, "post": 32, "hmtx": 4, "loca": 4, "glyf": 1, "OS/2": 1} {
		if len(t.table[name]) < least {
			return nil, bad
		}
	}
	t.longLoca = binary.BigEndian.Uint16(t.table["head"][50:]) == 1
	t.nMetrics = int(binary.BigEndian.Uint16(t.table["hhea"][34:]))
	t.nGlyphs = int(binary.BigEndian.Uint16(t.table["maxp"][4:]))
	return t, nil
}

// glyph returns the outline data of a glyph; empty for a space.
func (t *tables) glyph(g int) ([]byte, error) {
	loca, glyf := t.table["loca"], t.table["glyf"]
	var from, to int
	switch {
	case g < 0 || g >= t.nGlyphs:
		return nil, fmt.Errorf("the font has no glyph %d", g)
	case t.longLoca && 4*g+8 <= len(loca):
		from, to = int(binary.BigEndian.Uint32(loca[4*g:])), int(binary.BigEndian.Uint32(loca[4*g+4:]))
	case !t.longLoca && 2*g+4 <= len(loca):
		from, to = 2*int(binary.BigEndian.Uint16(loca[2*g:])), 2*int(binary.BigEndian.Uint16(loca[2*g+2:]))
	}
	if from > to || to > len(glyf) {
		return nil, fmt.Errorf("glyph %d of the font is damaged", g)
	}
	return glyf[from:to], nil
}

// Flags of a component of a composite glyph.
const (
	wordArgs        = 0x0001
	oneScale        = 0x0008
	moreComponents  = 0x0020
	twoScales       = 0x0040
	twoByTwo        = 0x0080
	hasInstructions = 0x0100
)

// components calls visit with the position of each component's flags and
// returns the length of the list; 0 for a simple glyph.
func components(g []byte, visit func(at int)) int {
	if len(g) < 12 || int16(binary.BigEndian.Uint16(g)) >= 0 {
		return 0
	}
	at := 10
	for at+4 <= len(g) {
		flags := binary.BigEndian.Uint16(g[at:])
		visit(at)
		at += 6
		if flags&wordArgs != 0 {
			at += 2
		}
		switch {
		case flags&oneScale != 0:
			at += 2
		case flags&twoScales != 0:
			at += 4
		case flags&twoByTwo != 0:
			at += 8
		}
		if flags&moreComponents == 0 {
			break
		}
	}
	return min(at, len(g))
}

// closure adds the parts of composite glyphs and sorts.
func (t *tables) closure(keep []int) ([]int, error) {
	seen := map[int]bool{}
	for i := 0; i < len(keep); i++ {
		if seen[keep[i]] {
			continue
		}
		seen[keep[i]] = true
		g, err := t.glyph(keep[i])
		if err != nil {
			return nil, err
		}
		components(g, func(at int) { keep = append(keep, int(binary.BigEndian.Uint16(g[at+2:]))) })
	}
	slices.Sort(keep)
	return slices.Compact(keep), nil
}

// glyphs returns the glyf and loca tables of the kept glyphs.
func (t *tables) glyphs(keep []int, renumbered map[int]int) (glyf, loca []byte, err error) {
	for _, id := range keep {
		g, err := t.glyph(id)
		if err != nil {
			return nil, nil, err
		}
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		g = slices.Clone(g)
		if n := components(g, func(at int) {
			flags := binary.BigEndian.Uint16(g[at:])
			binary.BigEndian.PutUint16(g[at:], flags&^hasInstructions)
			binary.BigEndian.PutUint16(g[at+2:], uint16(renumbered[int(binary.BigEndian.Uint16(g[at+2:]))]))
		}); n > 0 {
			g = g[:n]
		} else {
			g = withoutHints(g)
		}
		glyf = append(glyf, g...)
		for len(glyf)%4 != 0 {
			glyf = append(glyf, 0)
		}
	}
	return glyf, binary.BigEndian.AppendUint32(loca, uint32(len(glyf))), nil
}

// withoutHints removes the instructions of a simple glyph.
func withoutHints(g []byte) []byte {
	if len(g) < 12 {
		return g
	}
	at := 10 + 2*int(binary.BigEndian.Uint16(g))
	if at+2 > len(g) {
		return g
	}
	n := int(binary.BigEndian.Uint16(g[at:]))
	if at+2+n > len(g) {
		return g
	}
	out := append(slices.Clone(g[:at]), 0, 0)
	return append(out, g[at+2+n:]...)
}

func (t *tables) metrics(keep []int) []byte {
	hmtx := t.table["hmtx"]
	var out []byte
	for _, g := range keep {
		advance, bearing := 4*min(g, t.nMetrics-1), 4*g+2
		if g >= t.nMetrics {
			bearing = 4*t.nMetrics + 2*(g-t.nMetrics)
		}
		out = append(out, hmtx[advance:advance+2]...)
		out = append(out, hmtx[bearing:bearing+2]...)
	}
	return out
}

// cmapTable writes a format 4 table: one segment for each run of neighbours
// whose glyph numbers are neighbours too.
func cmapTable(runes []rune, glyph func(rune) int) []byte {
	type segment struct{ start, end, delta uint16 }
	var segs []segment
	for _, r := range runes {
		delta := uint16(glyph(r) - int(r))
		if n := len(segs); n > 0 && segs[n-1].end+1 == uint16(r) && segs[n-1].delta == delta {
			segs[n-1].end++
			continue
		}
		segs = append(segs, segment{uint16(r), uint16(r), delta})
	}
	segs = append(segs, segment{0xFFFF, 0xFFFF, 1})

	n := len(segs)
	search, sel := searchRange(n)
	sub := be16(4, uint16(16+8*n), 0, uint16(2*n), uint16(2*search), uint16(sel), uint16(2*(n-search)))
	for _, s := range segs {
		sub = binary.BigEndian.AppendUint16(sub, s.end)
	}
	sub = append(sub, 0, 0)
	for _, s := range segs {
		sub = binary.BigEndian.AppendUint16(sub, s.start)
	}
	for _, s := range segs {
		sub = binary.BigEndian.AppendUint16(sub, s.delta)
	}
	sub = append(sub, make([]byte, 2*n)...) // range offsets
	// Two encodings, Unicode and Windows, share the table.
	return append(be16(0, 2, 0, 3, 0, 20, 3, 1, 0, 20), sub...)
}

// nameTable holds the family and style, which readers of fonts require.
func nameTable() []byte {
	names := []struct {
		id   uint16
		text string
	}{{1, "chart"}, {2, "Regular"}, {4, "chart"}, {6, "chart"}}
	out := be16(0, uint16(len(names)), uint16(6+12*len(names)))
	var text []byte
	for _, n := range names {
		out = append(out, be16(3, 1, 0x409, n.id, uint16(2*len(n.text)), uint16(len(text)))...)
		for _, r := range n.text {
			text = binary.BigEndian.AppendUint16(text, uint16(r))
		}
	}
	return append(out, text...)
}

func be16(v ...uint16) []byte {
	var out []byte
	for _, x := range v {
		out = binary.BigEndian.AppendUint16(out, x)
	}
	return out
}

// searchRange returns the largest power of two not above n, and its exponent.
func searchRange(n int) (power, exponent int) {
	power = 1
	for power*2 <= n {
		power *= 2
		exponent++
	}
	return power, exponent
}

func writeTables(table map[string][]byte) []byte {
	names := make([]string, 0, len(table))
	for name := range table {
		names = append(names, name)
	}
	slices.Sort(names)
	n := len(names)
	search, sel := searchRange(n)
	out := append([]byte{0, 1, 0, 0}, be16(uint16(n), uint16(16*search), uint16(sel), uint16(16*(n-search)))...)
	at := 12 + 16*n
	var body []byte
	headAt := 0
	for _, name := range names {
		data := table[name]
		if name == "head" {
			headAt = at + len(body)
		}
		out = append(out, name...)
		out = binary.BigEndian.AppendUint32(out, checksum(data))
		out = binary.BigEndian.AppendUint32(out, uint32(at+len(body)))
		out = binary.BigEndian.AppendUint32(out, uint32(len(data)))
		body = append(body, data...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
	}
	out = append(out, body...)
	binary.BigEndian.PutUint32(out[headAt+8:], 0xB1B0AFBA-checksum(out))
	return out
}

func checksum(b []byte) uint32 {
	var sum uint32
	for len(b) >= 4 {
		sum += binary.BigEndian.Uint32(b)
		b = b[4:]
	}
	var last [4]byte
	copy(last[:], b)
	return sum + binary.BigEndian.Uint32(last[:])
}
