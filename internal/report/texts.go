package report

// Every text of the tables and files is here, so that it can be reviewed and
// translated in one place. %s stands for a finished piece: a name, a number
// with its unit, a date.
const (
	// Verdicts, one sentence each. First piece: name and make-up of the system.
	textCarries     = "%s carries this trip; its lowest charge is %s on %s at %s."
	textTypically   = "%s carries this trip in typical weather, but is too risky; its lowest charge is then %s on %s at %s."
	textBarely      = "%s carries this trip, but only just: its lowest charge is %s on %s at %s, %s above its cut-off of %s."
	textThin        = "%s keeps less than the wanted reserve: its lowest charge is %s on %s at %s, %s above its cut-off of %s, where %s are wanted."
	textThinAtTimes = "%s keeps the wanted reserve in typical weather, but not often enough; its lowest charge is then %s on %s at %s, where %s above its cut-off of %s are wanted."
	textFlat        = "%s runs flat on %s of %s, first on %s: %s unserved."
	textLacks       = "%s does not run flat, but leaves %s unserved: %s; its lowest charge is %s on %s at %s."
	textTooCold     = "Its battery was too cold to charge for %s."
	textSheds       = "It switches off non-essential appliances at low charge: %s not used."
	textNoOutlet    = "It has no outlet for %s."
	textTooSmall    = "Its inverter is too small for %s."
	textOffThen     = "Its inverter is off when %s would run."
	textWarm        = "%s cannot hold its temperature (%s inside at the warmest)."

	textRisk      = "In %s of %s simulated trips with the weather of these places and dates it runs flat at least once: flat risk %s (95 %% interval %s to %s)."
	textMissed    = "Not carried are %s of them (95 %% interval %s)%s."
	textMissedWhy = ": they run flat or leave something unserved%s"
	textOver      = "That is more than the accepted %s."

	textRecommended     = "Of %s, %s is the smallest that carries this trip."
	textRecommendedPart = "Of %s, none feeds every appliance; %s is the smallest that carries the rest of this trip."
	textNoneHolds       = "None of the %s carries this trip; %s comes nearest."
	textAccepted        = "Accepted risk: %s of the %s not carried."
	textMarks           = "\">\" marks the recommended system, \"!\" one that runs flat, \"?\" one to look at."

	// Words for a system's verdict in a table.
	wordCarries = "carries"
	wordFlat    = "runs flat"
	wordInPart  = "in part"
	wordLacks   = "falls short"
	wordThin    = "thin reserve"
	wordRisky   = "too risky"

	wordSmallInverter = "inverter too small"

	// Make-up of a system.
	textBattery      = "%s %s"
	textOneCharger   = "%s charger"
	textManyChargers = "%s chargers"
	textPanels       = "%s of panels"
	textSystemName   = "%s (%s)"
	wordNoCharger    = "no charger"

	// Headings.
	textDayTitle     = "Day by day: %s, %s"
	textSystemsTitle = "Systems"
	textFlatTitle    = "%s"
	textEventsTitle  = "To look at"
	textUnmet        = "Appliances left without power: %s"
	textHeadDays     = "%s to %s, %s"
	textHeadDay      = "%s, %s"
	textDraws        = "%s: %s."
	textWarnings     = "Warnings"

	// Remarks in tables.
	remarkFlat     = "flat %s"
	remarkTripped  = "inverter off %s"
	remarkRefused  = "charging refused"
	textSpell      = "%s to %s (%s), %s unserved."
	textSpellTo    = "%s to the end of the trip (%s), %s unserved."
	textEventMany  = "%s: %s (%s times, first %s)"
	textEventTrip  = "%s: %s"
	textEventOnce  = "%s: %s (%s)"
	textDrew       = "In the 24 h before, the appliances asked for %s"
	textDrewOne    = "%s %s"
	textFridge     = "%s runs %s of the time: %s a day."
	textFridgeHot  = "%s cannot hold its temperature: %s inside at the warmest, with %s a day."
	textFridgeOff  = "When it is cut off it warms and has to catch up: neither is in these figures."
	textUnservedOf = "%s (%s of %s)"
	textAndMore    = "and %s more"

	// Footnotes.
	textDayNote     = "\"!\" marks days on which the battery was disconnected at its cut-off: %s."
	legendWh        = "Wh after the chargers"
	legendAltern    = "alt. = alternator"
	legendMains     = "mains includes what a powered site feeds straight to AC appliances"
	legendServed    = "served = to appliances"
	legendSpilled   = "spilled = sun that nothing could take"
	legendCharge    = "charge = state of charge of the battery"
	legendDayRisk   = "risk = share of %s that are flat on that day"
	textColdCutOff  = "%s (%s in the cold of this trip)"
	textUpTo        = "up to %s"
	textLosses      = "Lost on the way: %s in chargers, %s in the inverter, %s in the battery. The battery ends %s."
	textEndsHigher  = "%s fuller than it began"
	textEndsLower   = "%s emptier than it began"
	textEndsSame    = "as full as it began"
	textWear        = "Wear: %s full cycles, %s of the battery's cycle life%s. The battery alone would carry the trip's mean day for %s."
	textLife        = ", which lasts %s at this use day after day"
	textLifeAge     = ", which lasts %s at this use day after day: its age ends it first"
	textLifeLong    = ", which lasts more than %s at this use day after day: its age ends it first"
	textClimate     = "Climate: %s Nearest figures: %s. Accuracy: %s."
	textOwnFigures  = "The trip's own figures are used at %s."
	textAssumptions = "Steps of %s; seed %s; sky light by %s; ground reflectance %s; input %s; %s."
	textEstimate    = "An estimate for planning, not a guarantee. Batteries, inverters and mains can burn, shock and kill: fuse close to the battery, choose cable by current, length and local standard, and leave mains work to licensed people."
	textMedical     = "%s: an appliance that somebody's health depends on needs an independent backup."
	textHidden      = "Columns left out at this width: %s; %s."
	textInCSV       = "--csv has them"
	textInJSON      = "--json has them"

	// Simulated and recorded trips.
	textSimulatedTrip, textSimulatedTrips = "simulated trip", "simulated trips"
	textRecordedTrip, textRecordedTrips   = "recorded trip", "recorded trips"
	textWorst                             = "The worst of %s (no. %s): %s, %s unserved; see --worst."
	textWorstFlat                         = "flat on %s"
	textWorstNeverFlat                    = "never flat, lowest charge %s"
	textWorstTrip                         = "the worst of %s (no. %s)"
	textOneTrip                           = "%s no. %s"
	textWeatherOf                         = "weather of %s"
	wordTypical                           = "typical weather"
	textSpreadTitle                       = "Over %s"
	textSpreadReserve                     = "lowest charge above cut-off"
	textSpreadUnserved                    = "unserved"
	textSpreadSpilled                     = "spilled sun"
	textRecordedYear                      = "the recorded year %s"
	textRecordedYears                     = "the recorded years %s to %s"
	textRecordedFirst                     = "; day by day in the first of them"
	textTypicalYear                       = "a typical year, put together of months of several"
	textRecordedWeather                   = "Recorded weather of %s (%s), on the days of the trip's own dates%s."
	textRecordedNote                      = "Weather: %s, %s"
	textRecordedAt                        = "; made at %s"
	textRecordedRisk                      = "In %s of %s it runs flat at least once: flat risk %s (95 %% interval %s)."
	textOverlap                           = "Trips that start a day apart share most of their weather: the interval is too narrow."
	textOneRecorded                       = "One recorded trip says how it would have gone then, not how often it goes wrong; --weather-days month takes more of the file."
	textOwnUnused                         = "The trip's own figures of sun and temperature are not used beside a weather file."

	// Files.
	textDaysFile  = "one row per system and local day, in typical weather or the simulated trip shown"
	textHoursFile = "one row per system and hour, in typical weather or the simulated trip shown"

	// Words.
	textDay, textDays           = "day", "days"
	textSystem, textSystems     = "system", "systems"
	textSpellOne, textSpellMany = "flat spell", "flat spells"
	textPoints                  = "points"
	textYears                   = "years"
	textUnlimited               = "unlimited"

	// Errors.
	textBadLocale     = "%q is not a known locale; use e.g. en-GB, en-US, de, fr or es"
	textBadDegrees    = "%q is not a unit of temperature; use c or f"
	textNotWritten    = "nothing was written: %w"
	textOutsideFolder = "%q is not a file name inside the output folder"
	textIsFolder      = "nothing was written: %s is a folder"
	textNotFolder     = "%s is not a folder"
)

// ClimateAccuracy says how far the built-in climate is from stations.
const ClimateAccuracy = "monthly sun within 6 % (median) of stations, single months 13 % (rms), a few per cent high on average; temperatures about 1 K cool at night"

// Heads of table columns, as short as they can be understood.
const (
	headDate      = "date"
	headPlace     = "place"
	headSun       = "sun kWh/m²"
	headAirMin    = "min %s"
	headAirMax    = "max %s"
	headDrive     = "drive h"
	headMainsH    = "mains h"
	headSolar     = "solar Wh"
	headAltern    = "alt. Wh"
	headMains     = "mains Wh"
	headLoads     = "served Wh"
	headSpilled   = "spilled Wh"
	headLow       = "lowest charge"
	headEnd       = "end charge"
	headDayRisk   = "risk"
	headRemark    = "remark"
	headSystem    = "system"
	headBattery   = "battery"
	headDriveA    = "alt. A"
	headPanelW    = "panel W"
	headMainsA    = "mains A"
	headInverterW = "inverter W"
	headFlatDays  = "flat days"
	headUnserved  = "unserved Wh"
	headRisk      = "flat risk"
	headPrice     = "price"
	headVerdict   = "verdict"
	headMiddle    = "middle"
	headMost      = "9\u00a0of\u00a010 within"
	headAll       = "all within"
)

// chemistryWords are the short names of battery chemistries.
var chemistryWords = map[string]string{
	"lifepo4": "lithium", "agm": "AGM", "gel": "gel", "flooded": "flooded lead-acid",
}
