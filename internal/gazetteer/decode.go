package gazetteer

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"strings"
)

// Columns of places.bin, in order, each with its length before it.
const (
	columnCountry   = iota // two letters and the number of places, per country
	columnDivisions        // names of regions, one a line
	columnNames            // one a line
	columnDivision         // number of the region
	columnPeople           // 4 log10 of the population
	columnLatHigh          // (latitude + 90) x 100, high and low byte
	columnLatLow
	columnLonHigh // (longitude + 180) x 100
	columnLonLow
	columns
)

var errCut = errors.New("cut short")

// decode reads places.bin; convert.go writes it.
func decode(packed []byte) ([]Place, error) {
	data, err := io.ReadAll(flate.NewReader(bytes.NewReader(packed)))
	if err != nil {
		return nil, err
	}
	r := reader{b: data}
	count, countries, divisions := r.int(), r.int(), r.int()
	var c [columns][]byte
	for i := range c {
		c[i] = r.bytes(r.int())
	}
	if r.err != nil {
		return nil, r.err
	}
	regions := strings.Split(strings.TrimSuffix(string(c[columnDivisions]), "\n"), "\n")
	names := strings.Split(strings.TrimSuffix(string(c[columnNames]), "\n"), "\n")
	if len(names) != count || len(regions) != divisions {
		return nil, errCut
	}
	for _, i := range []int{columnPeople, columnLatHigh, columnLatLow, columnLonHigh, columnLonLow} {
		if len(c[i]) != count {
			return nil, errCut
		}
	}
	places := make([]Place, count)
	region, country := reader{b: c[columnDivision]}, reader{b: c[columnCountry]}
	next := 0
	for range countries {
		code := string(country.bytes(2))
		for n := country.int(); n > 0 && next < count; n-- {
			k := region.int()
			if k >= len(regions) {
				return nil, errCut
			}
			places[next] = Place{
				Name: names[next], Region: regions[k], Country: code,
				LatDeg: hundredths(c[columnLatHigh][next], c[columnLatLow][next], 90),
				LonDeg: hundredths(c[columnLonHigh][next], c[columnLonLow][next], 180), People: people(c[columnPeople][next]),
			}
			next++
		}
	}
	if next != count || region.err != nil || country.err != nil {
		return nil, errCut
	}
	return places, nil
}

func hundredths(high, low byte, offset int) float64 {
	return float64((int(high)<<8|int(low))-100*offset) / 100
}

func people(class byte) int {
	if class == 0 {
		return 0
	}
	return int(math.Round(math.Pow(10, float64(class)/4)))
}

// reader takes variable-length numbers and pieces off the front of a slice.
type reader struct {
	b   []byte
	err error
}

func (r *reader) int() int {
	v, n := binary.Uvarint(r.b)
	if n <= 0 || v > 1<<30 {
		r.err = errCut
		return 0
	}
	r.b = r.b[n:]
	return int(v)
}

func (r *reader) bytes(n int) []byte {
	if n > len(r.b) {
		r.err = errCut
		return nil
	}
	piece := r.b[:n]
	r.b = r.b[n:]
	return piece
}
