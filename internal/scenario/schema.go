package scenario

import "tripsim/internal/sim"

// Kind is what the cells of a column hold.
type Kind int

// The kinds of column.
const (
	Text Kind = iota
	Number
	Integer
	YesNo
	Clock     // HH:MM
	ClockList // HH:MM;HH:MM
	Date      // YYYY-MM-DD
	Choice    // one of Choices
	ZoneName  // IANA time zone
	Operation // always, needed or HH:MM-HH:MM
)

// Column documents one column: it drives the checks, the defaults, the comments
// of the starter folder and the reference in the README.
type Column struct {
	Name string
	Unit string // as printed: h, W, A, %, ...; "" = none
	Kind Kind
	// Default is the cell that a blank stands for; "" = see Blank.
	Default string
	// Blank says what a blank cell means when that is not a fixed value.
	Blank    string
	Required bool    // a blank cell is an error
	Min, Max float64 // Number and Integer, both inclusive
	Choices  []string
	About    string // one line
	Example  string // after "use e.g."
}

// TableSpec documents one table of the folder.
type TableSpec struct {
	File     string
	Row      string // what one row is
	About    string
	Required bool // the folder is not a scenario without it
	MaxRows  int
	Columns  []Column
}

// Column returns the named column, nil if there is none.
func (s *TableSpec) Column(name string) *Column {
	for i := range s.Columns {
		if s.Columns[i].Name == name {
			return &s.Columns[i]
		}
	}
	return nil
}

// Names lists the columns in order.
func (s *TableSpec) Names() []string {
	names := make([]string, len(s.Columns))
	for i, c := range s.Columns {
		names[i] = c.Name
	}
	return names
}

// Limits of a scenario; beyond them it is refused.
const (
	MaxDays    = sim.MaxDays
	MaxLoads   = 1000
	MaxSystems = 100
	MaxUnits   = 2000 // rows of chargers.csv and of panels.csv
	MaxFile    = 16 << 20
)

func text(name, about, example string) Column {
	return Column{Name: name, Kind: Text, About: about, Example: example}
}

func number(name, unit string, lo, hi float64, about, example string) Column {
	return Column{Name: name, Unit: unit, Kind: Number, Min: lo, Max: hi, About: about, Example: example}
}

func integer(name, unit string, lo, hi float64, about, example string) Column {
	return Column{Name: name, Unit: unit, Kind: Integer, Min: lo, Max: hi, About: about, Example: example}
}

func choice(name string, choices []string, about string) Column {
	return Column{Name: name, Kind: Choice, Choices: choices, About: about, Example: choices[0]}
}

func yesNo(name, about string) Column {
	return Column{Name: name, Kind: YesNo, About: about, Example: "yes or no"}
}

func clock(name, about, example string) Column {
	return Column{Name: name, Kind: Clock, About: about, Example: example}
}

func (c Column) blank(meaning string) Column { c.Blank = meaning; return c }
func (c Column) or(value string) Column      { c.Default = value; return c }
func (c Column) must() Column                { c.Required = true; return c }

// preset says that a blank cell takes the preset's value, and what without one.
func (c Column) preset(without string) Column {
	c.Blank = "the preset's; without one " + without
	return c
}

// positionByName says where a row without coordinates lies; see places.go.
const positionByName = "found by name, if the place is a known town that the drive can reach; else the position of the row above, with a warning for another place"

var dayMasks = []string{"all", "driving", "parked", "off_grid", "mains"}

// Tables of a scenario folder, in the order in which they are read.
var (
	tripSpec = TableSpec{
		File: "trip.csv", Row: "one stop", Required: true, MaxRows: MaxDays,
		About: "Where the vehicle is, day by day. The drive of a row's first day leads from the stop before to this one; a row of several days repeats its hours on each of them.",
		Columns: []Column{
			Column{Name: "date", Kind: Date, About: "first local day of the stop; needed in the first row", Example: "2026-10-03"}.blank("the day after the row above ends"),
			integer("days", "days", 1, MaxDays, "local days of the stop", "1 or 3").or("1"),
			text("place", "name of the place", "Desert camp").must(),
			number("latitude", "degrees", -90, 90, "north positive, decimal degrees", "30.92 or -33.9").blank(positionByName),
			number("longitude", "degrees", -180, 180, "east positive, decimal degrees", "-6.91 or 18.4").blank(positionByName),
			number("elevation_m", "m", -430, 6500, "height above the sea", "1100").blank("the mean height of the climate data around"),
			Column{Name: "time_zone", Kind: ZoneName, About: "IANA name of the local clock", Example: "Africa/Casablanca"}.blank("from the position"),
			clock("drive_start", "engine on, leaving", "09:00").or("09:00"),
			number("drive_hours", "hours", 0, 24, "hours the engine runs; must end by midnight", "9 or 9.5").or("0"),
			clock("idle_start", "engine on at the stop, to charge", "17:00").blank("when the drive ends; drive_start on a day without one"),
			number("idle_hours", "hours", 0, 24, "hours the engine idles there, when the alternator has half of alternator_spare_a; must end by midnight", "0.5").or("0"),
			clock("mains_start", "plugged in at a powered site", "18:00").blank("18:00, or 00:00 when mains_hours is 24"),
			number("mains_hours", "hours", 0, 24, "hours on mains, past midnight too; 24 = all day", "12 or 24").or("0"),
			number("mains_limit_a", "A", 0, 125, "what the site allows at 230 V", "6 or 16").blank("not limited"),
			clock("generator_start", "generator on", "17:00").or("17:00"),
			number("generator_hours", "hours", 0, 24, "hours of a generator feeding the mains inlet", "2").or("0"),
			number("generator_w", "W", 0, 50000, "continuous power of the generator; needed with generator_hours", "1000").or("0"),
			number("shade_pct", "%", 0, 100, "sun lost to trees or roofs while parked", "0 or 40").or("0"),
			number("sun_kwh_m2", "kWh/m2", 0, 13, "daily sun on the level, instead of the climate data", "5.2").blank("climate data"),
			number("temp_min_c", "deg C", -60, 60, "daily minimum of the air, with temp_max_c", "8").blank("climate data"),
			number("temp_max_c", "deg C", -60, 60, "daily maximum of the air, with temp_min_c", "24").blank("climate data"),
			text("note", "free text", "bakery on the square"),
		},
	}

	loadsSpec = TableSpec{
		File: "loads.csv", Row: "one appliance", Required: true, MaxRows: MaxLoads,
		About: "What draws power. A preset fills the row from the catalogue (`tripsim parts`); any cell that is given overrides it.",
		Columns: []Column{
			text("name", "the appliance; every name once", "LED lights").blank("the preset's name"),
			text("preset", "identifier from the catalogue", "lights").blank("no preset"),
			choice("kind", []string{"steady", "window", "uses", "fridge"}, "steady: all day; window: start and hours; uses: times and minutes; fridge: by temperature").preset("needed"),
			choice("supply", []string{"dc", "ac"}, "dc: the battery; ac: the inverter, or a powered site").or("dc").preset("dc"),
			number("watts", "W", 0, 50000, "power while on; of a fridge the compressor while it runs", "12 or 60").preset("needed, but for fridges"),
			number("standby_w", "W", 0, 5000, "power while plugged in but not on", "0.5").or("0").preset("0"),
			number("surge_w", "W", 0, 200000, "start peak of less than a second", "900").blank("the preset's, in proportion to watts; without one as watts"),
			number("power_factor", "", 0.1, 1, "of an AC appliance: real over apparent power", "0.9").or("1").preset("1"),
			number("duty_pct", "%", 0, 100, "share of the on-time that is really drawn", "100 or 35").or("100").preset("100"),
			clock("start", "of a window", "18:00").or("18:00").preset("18:00"),
			number("hours", "hours", 0, 24, "length of a window, past midnight too", "4 or 2.5").preset("needed for a window"),
			Column{Name: "times", Kind: ClockList, About: "starts of the uses of a day, with ; or blanks between", Example: "07:00;18:30"}.preset("needed for uses"),
			number("minutes", "minutes", 0, 1440, "length of each use", "5").preset("needed for uses"),
			choice("days", dayMasks, "days on which it is used: all; driving: with any driving that local day; parked: with no driving at all that local day; off_grid: without mains; mains: with mains").or("all").preset("all"),
			yesNo("essential", "yes: kept on when others are shed at low charge").or("yes").preset("yes"),
			yesNo("medical", "yes: documents print the caution on independent backup").or("no").preset("no"),
			number("litres", "l", 5, 1000, "volume of a fridge", "40").preset("40"),
			number("setpoint_c", "deg C", -30, 20, "wanted temperature of a fridge or freezer", "5 or -18").preset("5"),
			number("ua_w_per_k", "W/K", 0.05, 20, "heat that leaks into a fridge per degree", "0.8").preset("from the volume"),
			number("openings_per_day", "", 0, 500, "how often a fridge is opened", "15").preset("15"),
			number("warm_kg_per_day", "kg", 0, 200, "warm food and drink put in per day", "2").preset("1"),
			number("ambient_offset_c", "K", -20, 40, "the air around a fridge is warmer than outside by this", "3").blank("0"),
			number("driving_offset_c", "K", -20, 40, "and by this more while driving", "5").blank("0"),
			number("ambient_min_c", "deg C", -30, 40, "the air around a fridge is never colder than this: give it for a room that is heated", "16").blank("as cold as outside, with ambient_offset_c"),
			number("night_setback_c", "K", 0, 15, "a fridge is set warmer at night by this", "2").blank("0"),
			text("note", "free text", "under the bench"),
		},
	}

	systemsSpec = TableSpec{
		File: "systems.csv", Row: "one candidate", Required: true, MaxRows: MaxSystems,
		About: "The systems that are compared. Each is a battery, with or without an inverter; its chargers and panels stand in the next two tables.",
		Columns: []Column{
			text("system", "name; every name once", "Weekend 100").must(),
			text("chemistry", "kind of battery: lifepo4, agm, gel or flooded", "lifepo4").or("lifepo4"),
			number("battery_ah", "Ah", 1, 10000, "capacity of one battery at the 20-hour rate", "100").must(),
			integer("batteries", "", 1, 100, "equal batteries side by side", "1 or 2").or("1"),
			Column{Name: "nominal_v", Unit: "V", Kind: Choice, Choices: []string{"12", "24", "48"}, About: "voltage of the system", Example: "12"}.or("12"),
			number("health_pct", "%", 10, 100, "capacity left in a used battery", "100 or 80").or("100"),
			number("min_soc_pct", "%", 0, 95, "state of charge at which the battery is disconnected", "10 or 50").blank("by chemistry"),
			number("reconnect_soc_pct", "%", 0, 100, "state of charge at which it is connected again; above 95 counts as 95, where chargers taper", "15").blank("by chemistry"),
			number("cutoff_v", "V", 9, 53, "voltage under load at which the battery is disconnected, besides min_soc_pct", "11").blank("none"),
			number("start_soc_pct", "%", 0, 100, "state of charge when the trip starts", "100").or("100"),
			number("max_charge_a", "A", 0, 10000, "highest charge current of all batteries together", "50").blank("by chemistry"),
			number("max_discharge_a", "A", 0, 20000, "highest discharge current of all batteries together: lithium's protection cuts off there, lead-acid has none and is only warned of", "100").blank("by chemistry"),
			number("charge_v", "V", 10, 64, "charging voltage of the units", "14.4").blank("by chemistry"),
			number("heater_w", "W", 0, 2000, "battery heater that runs in the cold while charging", "40").or("0"),
			number("battery_offset_c", "K", -20, 40, "the battery's place is warmer than the outside air by this", "8").or("0"),
			number("battery_min_c", "deg C", -40, 40, "the battery's place is never colder than this: give it for a room that is heated", "5").blank("as cold as outside, with battery_offset_c"),
			text("inverter_preset", "identifier from the catalogue (`tripsim parts inverters`)", "inverter_1000").blank("no preset"),
			number("inverter_w", "W", 0, 50000, "continuous power of the inverter, up to 25 °C; 0 = none", "1000 or 2000").or("0").preset("0"),
			number("inverter_surge_w", "W", 0, 200000, "what it gives for a second", "2000").preset("twice inverter_w"),
			number("inverter_idle_w", "W", 0, 500, "its own draw while switched on", "10").preset("by size"),
			Column{Name: "inverter_on", Kind: Operation, About: "always, needed (only while an AC appliance runs) or a time window", Example: "needed or 07:00-22:00"}.or("needed"),
			yesNo("ac_transfer", "yes: a powered site feeds AC appliances directly").or("yes"),
			number("alternator_spare_a", "A", 0, 1000, "what the alternator can spare while driving, at the vehicle's own voltage", "60").blank("enough for every unit"),
			Column{Name: "vehicle_v", Unit: "V", Kind: Choice, Choices: []string{"12", "24"}, About: "nominal voltage of the vehicle's own circuit, which the alternator feeds at about 13.8 or 27.6 V", Example: "12"}.or("12"),
			number("shed_soc_pct", "%", 0, 100, "below it the loads that are not essential are switched off", "30").or("0"),
			number("standby_w", "W", 0, 500, "monitor, remote switching and the like, always on", "1.5").or("0"),
			choice("docked_days", dayMasks, "days on which a portable pack is at its chargers (all = built in; the days as in loads.csv)").or("all"),
			clock("docked_start", "from when it is docked on those days", "09:00").or("00:00"),
			number("docked_hours", "hours", 0, 24, "for how long", "8").or("24"),
			number("price", "", 0, 1e9, "in the currency of job.csv", "2400").blank("not given"),
			text("note", "free text", "fits under the seat"),
		},
	}

	chargersSpec = TableSpec{
		File: "chargers.csv", Row: "one unit", MaxRows: MaxUnits,
		About: "The charging units. A preset fills the row from the catalogue (`tripsim parts chargers`); any cell that is given overrides it. Units of a system work side by side; a unit with several inputs shares total_a between them, solar first.",
		Columns: []Column{
			text("system", "a name from systems.csv", "Weekend 100").must(),
			text("charger", "name of the unit; once per system", "DC charger").must(),
			text("preset", "identifier from the catalogue", "dual_40").blank("no preset"),
			number("alternator_a", "A", 0, 2000, "output from the alternator; 0 = no such input", "40").or("0").preset("0"),
			number("solar_a", "A", 0, 2000, "output from panels; 0 = no such input", "30").or("0").preset("0"),
			number("mains_a", "A", 0, 2000, "output from mains; 0 = no such input", "20").or("0").preset("0"),
			number("total_a", "A", 0, 2000, "limit of all inputs together", "40").blank("the preset's, but not below the largest input; without one the sum of the inputs"),
			number("efficiency_pct", "%", 50, 100, "output over input power", "92").or("92").preset("92"),
			integer("priority", "", 0, 1000, "lower is used first when the battery cannot take all", "1").or("1"),
		},
	}

	panelsSpec = TableSpec{
		File: "panels.csv", Row: "one panel or group of equal panels", MaxRows: MaxUnits,
		About: "Solar panels, each feeding the solar input of a unit of its system. A preset fills the row from the catalogue (`tripsim parts panels`); any cell that is given overrides it.",
		Columns: []Column{
			text("system", "a name from systems.csv", "Weekend 100").must(),
			text("panel", "name of the panel; once per system", "Roof").must(),
			text("preset", "identifier from the catalogue", "roof_160").blank("no preset"),
			number("watts", "W", 1, 20000, "rated power at standard test conditions", "160").preset("needed"),
			choice("mount", []string{"roof", "portable"}, "roof: moves with the vehicle; portable: set out").or("roof").preset("roof"),
			number("tilt_deg", "degrees", 0, 90, "from the level", "0 or 35").or("0"),
			number("azimuth_deg", "degrees", 0, 360, "compass direction it faces", "180").blank("roof: heading unknown, averaged; portable: turned to the sun"),
			integer("turns_per_day", "", 1, 24, "how often a portable panel is turned to the sun", "3").or("3"),
			text("charger", "the unit it feeds, from chargers.csv", "DC charger").blank("the system's only unit with a solar input"),
			number("shade_pct", "%", 0, 100, "sun lost to things on the roof, always", "5").or("0"),
			number("soiling_pct", "%", 0, 100, "sun lost to dust", "3").or("3").preset("3"),
			number("temp_coeff_pct_per_k", "%/K", -1, 0, "change of power with temperature", "-0.35").or("-0.35").preset("-0.35"),
			number("noct_c", "deg C", 30, 70, "nominal operating cell temperature", "47").or("47").preset("47"),
			choice("deployed", []string{"parked", "always"}, "when a portable panel is out; one on the roof always is").or("parked"),
		},
	}

	jobSpec = TableSpec{
		File: "job.csv", Row: "one fact", MaxRows: 200,
		About: "Who the answer is for. One fact per row; the keys stand below.",
		Columns: []Column{
			text("key", "one of the keys below, each once", "customer").must(),
			text("value", "its value", "Customer A"),
		},
	}

	// jobKeys documents the keys of job.csv as if they were columns.
	jobKeys = TableSpec{
		File: "job.csv", Row: "one fact",
		Columns: []Column{
			text("title", "heading of documents", "October loop").blank("the folder's name"),
			text("customer", "for whom", "Customer A"),
			text("reference", "your number of the job", "2026-014"),
			text("prepared_by", "by whom", "the workshop"),
			text("business", "name of the business", "Example Workshop"),
			text("contact", "address, telephone or mail on documents", "1 Example Road"),
			text("logo", "picture file in this folder (PNG, JPEG or SVG)", "logo.png").blank("no logo"),
			text("currency", "currency of the prices", "EUR").or("EUR"),
			number("target_flat_risk_pct", "%", 0, 100, "accepted risk: share of simulated trips that may not be carried", "5").or("5"),
			number("reserve_pct", "%", 0, 90, "state of charge wanted above the cut-off at all times", "10").or("0"),
			text("notes", "free text on documents", "with roof tent"),
		},
	}
)

// Specs returns the tables of a scenario folder in the order of reading.
func Specs() []*TableSpec {
	return []*TableSpec{&tripSpec, &loadsSpec, &systemsSpec, &chargersSpec, &panelsSpec, &jobSpec}
}

// JobKeys documents the keys of job.csv.
func JobKeys() []Column { return jobKeys.Columns }
