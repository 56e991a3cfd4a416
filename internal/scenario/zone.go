package scenario

import (
	"math"
	"slices"
	"strconv"
	"sync"
	"time"
	_ "time/tzdata" // zones are known on machines without a zone database too

	tzlite "github.com/ringsaturn/tzf-rel-lite"
	"google.golang.org/protobuf/encoding/protowire"
)

// zoneRing is one closed outline or hole, still in its packed form.
type zoneRing struct {
	points                         []byte // polyline, 1e-5 degrees, longitude first
	minLon, minLat, maxLon, maxLat int64
}

// ZoneSource is the attribution of the outlines.
const ZoneSource = "Time zones by position: timezone-boundary-builder, made from OpenStreetMap data, Open Database Licence"

type zoneOutline struct {
	name  string
	rings []zoneRing
}

// zoneOutlines are the simplified world outlines of the IANA zones, seas
// included (timezone-boundary-builder, Open Database Licence). They stay packed:
// one pass finds each ring's bounds, and a look-up unpacks only the rings
// around the point, which needs no index and no memory for the points.
var zoneOutlines = sync.OnceValue(func() []zoneOutline {
	var zones []zoneOutline
	eachField(tzlite.LiteCompressData, func(num protowire.Number, b []byte) {
		if num != 2 {
			return
		}
		var z zoneOutline
		eachField(b, func(num protowire.Number, b []byte) {
			switch num {
			case 1:
				z.addPolygon(b)
			case 2:
				z.name = string(b)
			}
		})
		zones = append(zones, z)
	})
	return zones
})

func (z *zoneOutline) addPolygon(b []byte) {
	eachField(b, func(num protowire.Number, b []byte) {
		switch num {
		case 1:
			r := zoneRing{points: b, minLon: math.MaxInt64, minLat: math.MaxInt64, maxLon: math.MinInt64, maxLat: math.MinInt64}
			eachPoint(b, func(lon, lat int64) {
				r.minLon, r.maxLon = min(r.minLon, lon), max(r.maxLon, lon)
				r.minLat, r.maxLat = min(r.minLat, lat), max(r.maxLat, lat)
			})
			z.rings = append(z.rings, r)
		case 2:
			z.addPolygon(b)
		}
	})
}

// eachField calls f with each length-delimited field of a protobuf message.
func eachField(b []byte, f func(protowire.Number, []byte)) {
	for len(b) > 0 {
		num, typ, n := protowire.ConsumeTag(b)
		if n < 0 {
			return
		}
		b = b[n:]
		if typ == protowire.BytesType {
			v, n := protowire.ConsumeBytes(b)
			if n < 0 {
				return
			}
			f(num, v)
			b = b[n:]
			continue
		}
		if n = protowire.ConsumeFieldValue(num, typ, b); n < 0 {
			return
		}
		b = b[n:]
	}
}

// eachPoint unpacks a polyline: differences, zigzag, five bits per byte.
func eachPoint(b []byte, f func(lon, lat int64)) {
	var at [2]int64
	axis := 0
	for len(b) > 0 {
		var v uint64
		for shift := 0; len(b) > 0; shift += 5 {
			c := b[0] - 63
			b = b[1:]
			v |= uint64(c&0x1f) << shift
			if c < 0x20 {
				break
			}
		}
		at[axis] += int64(v>>1) ^ -int64(v&1)
		if axis == 1 {
			f(at[0], at[1])
		}
		axis ^= 1
	}
}

// contains tells whether the point lies inside, by the even-odd rule over all
// rings of the zone: a hole turns the answer back.
func (z *zoneOutline) contains(lon, lat int64) bool {
	inside := false
	for i := range z.rings {
		r := &z.rings[i]
		if lon < r.minLon || lon > r.maxLon || lat < r.minLat || lat > r.maxLat {
			continue
		}
		var lastLon, lastLat, firstLon, firstLat int64
		first, in := true, false
		edge := func(aLon, aLat, bLon, bLat int64) {
			if (aLat > lat) != (bLat > lat) &&
				float64(lon) < float64(bLon-aLon)*float64(lat-aLat)/float64(bLat-aLat)+float64(aLon) {
				in = !in
			}
		}
		eachPoint(r.points, func(pLon, pLat int64) {
			if first {
				firstLon, firstLat, first = pLon, pLat, false
			} else {
				edge(lastLon, lastLat, pLon, pLat)
			}
			lastLon, lastLat = pLon, pLat
		})
		edge(lastLon, lastLat, firstLon, firstLat)
		if in {
			inside = !inside
		}
	}
	return inside
}

// ZoneNameAt returns the IANA zone at a position (degrees, north and east
// positive) from simplified outlines, good to about a kilometre at borders.
// Where no outline matches it returns the nautical zone, e.g. Etc/GMT+5.
func ZoneNameAt(latDeg, lonDeg float64) string {
	lon, lat := int64(math.Round(lonDeg*1e5)), int64(math.Round(latDeg*1e5))
	for i := range zoneOutlines() {
		if z := &zoneOutlines()[i]; z.contains(lon, lat) {
			if _, err := time.LoadLocation(z.name); err == nil {
				return z.name
			}
		}
	}
	return nauticalZone(lonDeg)
}

func nauticalZone(lonDeg float64) string {
	hours := int(math.Round(lonDeg / 15))
	switch {
	case hours == 0:
		return "Etc/GMT"
	case hours > 0: // the sign of these names is reversed by tradition
		return "Etc/GMT-" + strconv.Itoa(hours)
	default:
		return "Etc/GMT+" + strconv.Itoa(-hours)
	}
}

// ZoneNames lists the zones of the outlines in alphabetical order.
func ZoneNames() []string {
	names := make([]string, 0, 450)
	for _, z := range zoneOutlines() {
		names = append(names, z.name)
	}
	slices.Sort(names)
	return names
}
