package chart

import (
	"math"
	"time"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
)

// inventedTrip describes a made-up trip whose result is made up as well, by a
// plain recurrence that has no physics in it: something to draw, nothing to
// learn from. Everything here is invented.
type inventedTrip struct {
	name       string
	system     string
	start      time.Time // UTC midnight of the first local day
	days       int
	zone       string
	places     []string // in turn, each for stay days
	stay       int
	capacityWh float64
	loadW      float64
	sunW       float64 // at noon
	driveEvery int     // drives every so many days; 0 = never
	mainsEvery int
	coldFrom   int // from this day on the battery refuses charge in the morning; 0 = never
	minSoC     float64
	acShare    float64
	generator  bool
}

func (v inventedTrip) result() *sim.Result {
	zone, err := time.LoadLocation(v.zone)
	if err != nil {
		panic(err)
	}
	r := &sim.Result{
		System:  &sim.System{Name: v.system, Battery: profiles.BatterySpec{}},
		Step:    15 * time.Minute,
		Weather: "typical weather, invented for this test",
		MinSoC:  v.minSoC, StartSoC: 0.9, LowSoC: 1,
	}
	r.Trip = &sim.Trip{Name: v.name}
	for d := 0; d < v.days; d += v.stay {
		r.Trip.Stops = append(r.Trip.Stops, sim.Stop{
			Date: v.start.AddDate(0, 0, d), Days: min(v.stay, v.days-d), Place: v.places[(d/v.stay)%len(v.places)], Zone: zone,
		})
	}
	b := &inventedRun{v: v, r: r, soc: r.StartSoC}
	for d := range v.days {
		b.day(d, zone)
	}
	r.EndSoC = b.soc
	if n := len(r.Flats); n > 0 && r.Flats[n-1].End.IsZero() {
		r.Flats[n-1].End = r.Slots[len(r.Slots)-1].Start.Add(r.Step)
	}
	return r
}

type inventedRun struct {
	v    inventedTrip
	r    *sim.Result
	soc  float64
	flat bool
}

func (b *inventedRun) day(d int, zone *time.Location) {
	civil := b.v.start.AddDate(0, 0, d)
	y, m, dd := civil.Date()
	from, to := time.Date(y, m, dd, 0, 0, 0, 0, zone), time.Date(y, m, dd+1, 0, 0, 0, 0, zone)
	stop := d / b.v.stay
	day := sim.Day{
		Date: civil, Stop: stop, Place: b.r.Trip.Stops[stop].Place, FirstRow: len(b.r.Rows), LowSoC: 1,
		Hours: to.Sub(from).Hours(),
	}
	cloud := 0.35 + 0.65*math.Pow(math.Abs(math.Sin(float64(d)*1.7+0.6)), 0.7)
	for at := from; at.Before(to); at = at.Add(b.r.Step) {
		b.step(&day, d, at, zone, cloud)
	}
	day.EndRow = len(b.r.Rows)
	day.EndSoC = b.soc
	if day.Flat() {
		b.r.FlatDays++
	}
	b.r.FlatH += day.FlatH
	b.r.Total.Add(&day.Ledger)
	b.r.Days = append(b.r.Days, day)
}

func (b *inventedRun) step(day *sim.Day, d int, at time.Time, zone *time.Location, cloud float64) {
	v, r := &b.v, b.r
	local := at.In(zone)
	h := float64(local.Hour()) + float64(local.Minute())/60
	const stepH = 0.25
	slot := sim.Slot{Start: at.UTC(), LocalH: h, Day: d, Stop: day.Stop}
	slot.Up = min(1, max(0, (min(h+stepH, 18.2)-max(h, 6.1))/stepH))
	if v.driveEvery > 0 && d%v.driveEvery == 0 && h >= 9 && h < 12.5 {
		slot.DriveH = stepH
	}
	if v.mainsEvery > 0 && d%v.mainsEvery == v.mainsEvery-1 && (h >= 18 || h < 7) {
		slot.MainsH = stepH
	}
	if v.generator && d == 3 && h >= 16 && h < 18 {
		slot.GenH = stepH
	}
	row := sim.Row{BatteryC: 8}
	load := v.loadW * (0.55 + 0.9*math.Exp(-math.Pow((h-19)/2.2, 2)) + 0.5*math.Exp(-math.Pow((h-7.5)/1, 2)))
	sun := v.sunW * cloud * max(0, math.Sin((h-6.1)/12.1*math.Pi)) * stepH
	alternator, site, through := 0.0, 0.0, 0.0
	if slot.DriveH > 0 {
		alternator = 380 * stepH
	}
	if slot.MainsH > 0 {
		site, through = 260*stepH, load*v.acShare*stepH
	}
	if slot.GenH > 0 {
		site = 420 * stepH
	}
	if v.coldFrom > 0 && d >= v.coldFrom && h >= 6.5 && h < 9.5 {
		row.Refused, row.BatteryC = true, -2
		day.Refused = true
	}
	b.energy(&row, load*stepH, sun, alternator, site, through)
	row.SoC = b.soc
	day.Ledger.Add(&row.Ledger)
	day.DriveH += slot.DriveH
	day.MainsH += slot.MainsH
	day.FlatH += row.FlatH
	if b.soc < day.LowSoC {
		day.LowSoC, day.LowAt = b.soc, at.Add(r.Step).UTC()
	}
	r.LowSoC = min(r.LowSoC, b.soc)
	if (row.FlatH > 0) != b.flat {
		if b.flat = row.FlatH > 0; b.flat {
			r.Flats = append(r.Flats, sim.FlatSpell{Start: at.UTC(), Cause: "invented"})
		} else {
			r.Flats[len(r.Flats)-1].End = at.UTC()
		}
	}
	r.Slots = append(r.Slots, slot)
	r.Rows = append(r.Rows, row)
}

// energy moves the store by what comes in and goes out.
func (b *inventedRun) energy(row *sim.Row, load, sun, alternator, site, through float64) {
	v := &b.v
	if row.Refused {
		row.SpilledWh, sun, alternator, site = sun, 0, 0, 0
	}
	room := (1 - b.soc) * v.capacityWh
	in := sun + alternator + site
	if take := min(in, room+load-through); take < in {
		used := take / in
		row.SpilledWh += sun * (1 - used)
		sun, alternator, site = sun*used, alternator*used, site*used
	}
	served := load
	store := b.soc * v.capacityWh
	if floor := v.minSoC * v.capacityWh; store+0.93*(sun+alternator+site)+through-load < floor {
		served = max(0, store-floor+0.93*(sun+alternator+site)+through)
		row.UnservedWh = load - served
		row.FlatH = 0.25
		if served > 0 {
			row.FlatH = 0.25 * row.UnservedWh / load
		}
	}
	row.SolarWh, row.AlternatorWh, row.MainsWh, row.TransferWh = sun, alternator, site, through
	row.ACLoadWh = served * v.acShare
	row.DCLoadWh = served - row.ACLoadWh
	row.ChargerLossWh = 0.07 * (sun + alternator + site)
	row.StoreChangeWh = row.InWh() - served - row.ChargerLossWh
	b.soc = min(1, max(0, b.soc+row.StoreChangeWh/v.capacityWh))
}

// inventedRisk spreads bands around a result.
func inventedRisk(r *sim.Result) *sim.Risk {
	risk := &sim.Risk{System: r.System, Draws: 1000, FlatDraws: 34, Flat: sim.Proportion{Share: 0.034, Low: 0.024, High: 0.047}}
	for i := 3; i < len(r.Rows); i += 4 {
		q := r.Rows[i].SoC
		wide := 0.22 * (1 - math.Exp(-float64(i)/200))
		at := func(k float64) float64 { return min(1, max(r.MinSoC, q+k*wide)) }
		risk.Bands = append(risk.Bands, sim.Band{At: r.Slots[i].Start.Add(r.Step), Q05: at(-1), Q25: at(-0.4), Q50: at(0), Q75: at(0.3), Q95: at(0.7)})
	}
	for i := range r.Days {
		share := max(0, 0.05*math.Sin(float64(i)/2)+0.03)
		if r.Days[i].Flat() {
			share = 0.6
		}
		risk.ByDay = append(risk.ByDay, sim.DayRisk{Date: r.Days[i].Date, Flat: sim.Proportion{Share: share, Low: share / 2, High: min(1, share*1.5)}})
	}
	return risk
}

// inventedTrips are the trips that every picture of a single run is drawn for.
func inventedTrips() map[string]inventedTrip {
	places := []string{"First Camp", "Dry River", "Old Well", "High Pass", "Lower Valley", "Salt Flat", "North Shore", "Market Town", "Long Plain", "Ferry Landing"}
	week := inventedTrip{
		name: "Invented loop", system: "200 Ah with 40 A charger", start: day(2026, 10, 4), days: 7, zone: "Africa/Casablanca",
		places: places, stay: 1, capacityWh: 2560, loadW: 95, sunW: 260, driveEvery: 2, mainsEvery: 5, minSoC: 0.1, acShare: 0.3,
	}
	one := week
	one.days, one.places, one.driveEvery = 1, []string{"Only Camp"}, 1
	three := week
	three.days, three.loadW, three.minSoC, three.capacityWh, three.sunW = 21, 110, 0.2, 1280, 210
	three.stay = 2
	three.coldFrom = 14
	crowded := three
	crowded.days, crowded.stay = 40, 1
	crowded.places = nil
	for _, p := range places {
		crowded.places = append(crowded.places, p, "Upper "+p, "Lower "+p+" by the Sea")
	}
	sixty := three
	sixty.days, sixty.stay, sixty.driveEvery, sixty.mainsEvery = 60, 3, 4, 9
	year := week
	year.days, year.stay, year.start = 366, 14, day(2027, 9, 1)
	clocks := week
	clocks.zone, clocks.start, clocks.name = "Europe/Oslo", day(2026, 10, 23), "Invented autumn in the north"
	clocks.generator = true
	spring := clocks
	spring.start, spring.days = day(2026, 3, 28), 3
	never := week
	never.sunW, never.driveEvery, never.mainsEvery, never.capacityWh = 0, 0, 0, 1280
	flat := never
	flat.minSoC, flat.days = 0.95, 4
	hostile := week
	hostile.system = `<script>alert("x")</script> & =cmd()|' ` + string(make([]rune, 0)) + "\u202Eevil\u202C 🚐🏕️ " + longName(300)
	hostile.name = "旅行 рейс " + longName(300)
	hostile.places = []string{"京都", "מדבר", "الصحراء", "🏕️", longName(300), "São João d'El-Rei", "x\n\ty\x00z"}
	return map[string]inventedTrip{
		"one-day": one, "week": week, "three-weeks": three, "sixty-days": sixty, "crowded": crowded, "year": year,
		"clocks-back": clocks, "clocks-forward": spring, "never-charging": never, "always-flat": flat, "hostile": hostile,
	}
}

func day(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

func longName(n int) string {
	s := ""
	for len(s) < n {
		s += "Interminable "
	}
	return s[:n]
}
