package quote

import "tripsim/internal/sim"

// Texts of the section on sources, and the cautions.
const (
	textSourcesLead = "Everything in this document is calculated from the lists above, the values below and published models; nothing is measured on your vehicle."
	headAssumed     = "The quoted system, as calculated with"
	headClimate     = "Sun and air"
	headModels      = "Where each number comes from"
	headWarnings    = "Noticed about the input"

	labelBattery         = "Battery"
	labelChargeLimits    = "Charging"
	labelChargers        = "Chargers"
	labelAlternator      = "Alternator"
	labelPanels          = "Solar panels"
	labelInverter        = "Inverter"
	labelStandby         = "Always on"
	textBatteryAssumed   = "%s: at the start %s full; switches off at %s and on again at %s; %s of its capacity when new."
	textCutoffV          = "It also switches off below %s under load."
	textLithiumLimits    = "refused below %s and above %s of the battery itself, reduced in the cold."
	textLeadLimits       = "slows as the battery fills."
	textUnit             = "%s: %s, efficiency %s"
	textUnitTogether     = "%s, together up to %s"
	textFromAlternator   = "%s alternator"
	textFromSolar        = "%s solar"
	textFromMains        = "%s mains"
	textAlternatorEnough = "taken to have enough for every charger; please have this checked for your vehicle"
	textAlternatorSpare  = "%s to spare at most, less when hot or just after a start"
	textPanel            = "%s: %s, %s, dirt %s, own shade %s"
	textRoof             = "flat on the roof"
	textTilted           = "tilted %s°, heading unknown"
	textFixed            = "tilted %s° towards %s° from north"
	textTurned           = "tilted %s° and turned to the sun %s times a day"
	textInverter         = "%s, %s for an instant, %s idle, %s"

	textRecordDates = "All trips of this document run in the recorded weather of %s (%s), on the days of the trip's own dates; the trip shown day by day runs in that of the first such year. Wherever the places are, the weather is that of the file; nothing is taken from the built-in climate."
	textRecordTrips = "The trips behind each flat risk run in the recorded weather of %s (%s), each from another day of it on. Wherever the places are, the weather of these trips is that of the file. What is said of typical weather rests on the built-in climate below."

	captionClimate = "Table %s. Sun and air of the places for the dates of the trip."
	headPosition   = "Latitude, longitude"
	headHeight     = "Height"
	headDistance   = "Nearest data"
	headOrigin     = "Figures"
	textBuiltIn    = "built in"
	textOwnFigures = "your own"
	noteClimate    = "Sun: mean daily irradiation on level ground. Air: mean daily lowest and highest. Nearest data: distance to the middle of the nearest cell of the climate table; figures are weighted by distance and corrected for height. Accuracy: %s."
	noteDraws      = "Simulated trips: %s, %s."

	captionModels = "Table %s. Models and their sources."
	headNumber    = "Number"
	headFound     = "How it is found"
	headPublished = "Published by"
	noteBalance   = "In every step of every run, energy in less energy out, losses and change of the store is zero to within one part in a thousand million."

	cautionEstimate     = "This is an estimate for planning, not a guarantee. Weather, use, age and installation differ from what was assumed."
	cautionDanger       = "Batteries, inverters and mains can burn, shock and kill. If you are not sure, let a qualified person do the work."
	cautionFuse         = "Fuse every battery close to its terminal. Choose each cable by its current, its length and the standard that applies where you are; the fuse protects the cable."
	cautionCurrents     = "In typical weather the simulation finds up to %s drawn from the battery and up to %s drawn from the alternator's side. Cables, fuses and switches have to carry more than that."
	cautionCurrent      = "In typical weather the simulation finds up to %s drawn from the battery. Cables, fuses and switches have to carry more than that."
	cautionMains        = "Work on mains voltage, shore power and AC outlets only by licensed people, under the codes of the country."
	cautionCold         = "Lithium batteries must not be charged below freezing. Make sure that the battery or its charger prevents it."
	cautionColdTrip     = "On this trip the air goes down to about %s in typical weather, and lower on cold days."
	cautionLead         = "Lead-acid batteries give off explosive gas while charging: ventilate them, keep sparks away, and recharge them fully as soon as you can."
	cautionMedical      = "An appliance that keeps somebody alive or well needs an independent backup. Do not rely on this system alone."
	cautionMedicalNamed = "%s: somebody's health depends on it. It needs an independent backup that does not hang on this battery."
)

// modelText is a line of the table of models; when tells whether the document
// has such numbers (nil = always). %s in a source is the sky model of the run.
type modelText struct {
	number, how, source string
	when                func(*builder) bool
}

var modelTexts = []modelText{
	{
		"Position of the sun, length of day", "computed for every step and place, refraction included",
		"Reda & Andreas 2004, NREL/TP-560-34302 (reference for the accuracy); Spencer 1971", nil,
	},
	{
		"Sun per day", "monthly means of the places as clearness of the sky; simulated days autocorrelated about them, in the spread of clearness that such months have",
		"New, Lister, Hulme & Makin 2002; Large & Yeager 2009; Allen et al. 1998; Graham, Hollands & Unny 1988; Hollands & Huget 1983", ofClimate,
	},
	{
		"Sun within the day, beam and diffuse", "shape of the clear sky with random passing clouds; diffuse share by clearness",
		"Ineichen & Perez 2002; Aguiar & Collares-Pereira 1992; Graham & Hollands 1990; Erbs, Klein & Duffie 1982", ofClimate,
	},
	{
		"Air temperature", "monthly means, day-to-day spells tied to the sun, curve through the day",
		"New et al. 2002; Richardson 1981; Parton & Logan 1981", ofClimate,
	},
	{
		"Sun on a panel", "beam, circumsolar, sky and ground light on its plane, loss at slanting light",
		"%s; Martin & Ruiz 2001", anyPanel,
	},
	{
		"Solar energy", "rated power by light and cell temperature, up to the limits of regulator and battery; the rest is not used",
		"Dobos 2014, NREL/TP-6A20-62641; Ross 1976", anyPanel,
	},
	{
		"State of charge, lowest charge, flat spells", "charge counted in ampere-hours; voltage from a rest-voltage curve and resistance; limits by temperature",
		"Safari & Delacourt 2011", func(b *builder) bool { return b.lithium() },
	},
	{
		"The same for lead-acid", "two wells of charge, so that fast discharge gives less; acceptance falls as it fills",
		"Manwell & McGowan 1993; Copetti, Lorenzo & Chenlo 1993; Mas 1967", func(b *builder) bool { return b.lead() },
	},
	{
		"Energy from the alternator", "charger's limit, alternator's spare current, starter battery first",
		"trade practice, no publication", func(b *builder) bool { return b.anyAlternator() },
	},
	{
		"Losses of the inverter", "idle, proportional and quadratic part of the load", "Schmidt & Sauer 1996",
		func(b *builder) bool { return b.r.System.Inverter.RatedW > 0 },
	},
	{
		"Use of a fridge", "heat through walls, openings and warm food, over the efficiency of its compressor at the air around it",
		"share of Carnot's efficiency; ambients of IEC 62552", anyFridge,
	},
	{"Use of other appliances", "power × time as listed in this document", "your list", nil},
	{
		"Flat risk and its interval", "share of simulated trips with a flat moment; Wilson's score interval",
		"Wilson 1927", func(b *builder) bool { return b.k != nil },
	},
	{"Wear", "rainflow cycles against cycles to the end of life at each depth", "ASTM E1049-85; Bindner et al. 2005, Risø-R-1515", nil},
}

func ofClimate(b *builder) bool { return !b.replaced() }

func anyPanel(b *builder) bool { return len(b.r.System.Panels) > 0 }

func anyFridge(b *builder) bool {
	for i := range b.in.Loads {
		if b.in.Loads[i].Kind == sim.Fridge {
			return true
		}
	}
	return false
}
