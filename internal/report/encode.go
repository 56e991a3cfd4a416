package report

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// CSV writes the table after RFC 4180: header row, comma, CRLF line ends,
// quotes where needed, UTF-8 without byte order mark. Numbers have a decimal
// point and no grouping, whatever the locale. A text that a spreadsheet would
// run as a formula gets an apostrophe in front.
func (t *Table) CSV() []byte {
	var b bytes.Buffer
	for i := range t.Columns {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(t.Columns[i].Key)
	}
	b.WriteString("\r\n")
	for r := range t.Rows {
		for i := range t.Columns {
			if i > 0 {
				b.WriteByte(',')
			}
			if i < len(t.Rows[r].Cells) {
				t.Rows[r].Cells[i].writeCSV(&b)
			}
		}
		b.WriteString("\r\n")
	}
	return b.Bytes()
}

func (c *Cell) writeCSV(b *bytes.Buffer) {
	switch c.kind {
	case numberCell:
		b.Write(appendNumber(b.AvailableBuffer(), c.number))
	case textCell, flagCell:
		text := neutralised(c.text)
		if !strings.ContainsAny(text, "\",\r\n") && strings.TrimSpace(text) == text {
			b.WriteString(text)
			return
		}
		b.WriteByte('"')
		b.WriteString(strings.ReplaceAll(text, `"`, `""`))
		b.WriteByte('"')
	}
}

// neutralised keeps a spreadsheet from running a text as a formula: texts that
// begin with = + - @ (also behind white space, or in full width), tab, carriage
// return or line feed get an apostrophe in front.
func neutralised(s string) string {
	s = strings.ReplaceAll(s, "\x00", "")
	first, _ := utf8.DecodeRuneInString(strings.TrimSpace(s))
	if strings.ContainsRune("=+-@＝＋－＠", first) || s != "" && strings.ContainsRune("\t\r\n", rune(s[0])) {
		return "'" + s
	}
	return s
}

// appendNumber writes x in its shortest form, rounded to six figures or to whole
// numbers: no measurement here knows more, and files do not differ by the last
// bit of a processor. There is no number for NaN and the infinite.
func appendNumber(b []byte, x float64) []byte {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return b
	}
	decimals := 6
	for limit := 1.0; decimals > 0 && math.Abs(x) >= limit; limit *= 10 {
		decimals--
	}
	scale := math.Pow(10, float64(decimals))
	if r := math.Round(x*scale) / scale; !math.IsInf(r, 0) {
		x = r
	}
	if x == 0 {
		x = 0 // no minus zero
	}
	return strconv.AppendFloat(b, x, 'f', -1, 64)
}

// JSON writes the rows as an array of objects whose keys are the columns' keys,
// in the columns' order; a blank cell is null.
func (t *Table) JSON() []byte {
	var b bytes.Buffer
	b.WriteString("[")
	for r := range t.Rows {
		if r > 0 {
			b.WriteByte(',')
		}
		b.WriteString("\n  {")
		for i := range t.Columns {
			if i > 0 {
				b.WriteString(", ")
			}
			var c Cell
			if i < len(t.Rows[r].Cells) {
				c = t.Rows[r].Cells[i]
			}
			b.WriteString(strconv.Quote(t.Columns[i].Key) + ": ")
			b.Write(c.json())
		}
		b.WriteString("}")
	}
	b.WriteString("\n]\n")
	return b.Bytes()
}

func (c *Cell) json() []byte {
	switch c.kind {
	case textCell:
		return quoted(c.text)
	case flagCell:
		return strconv.AppendBool(nil, c.number != 0)
	case numberCell:
		if b := appendNumber(nil, c.number); len(b) > 0 {
			return b
		}
	}
	return []byte("null")
}

// document is v as indented JSON, with characters of markup left readable.
func document(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// quoted is s as a JSON string, with characters of markup left readable.
func quoted(s string) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(s); err != nil {
		panic(err) // a string always encodes
	}
	return bytes.TrimRight(b.Bytes(), "\n")
}
