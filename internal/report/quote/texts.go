package quote

import (
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// Every text of the document is in the files texts*.go, so that it can be
// reviewed and translated in one place. %s stands for a finished piece: a name,
// a number with its unit, a date.
const (
	textKind         = "Electrical system for a trip"
	titleContents    = "Contents"
	textRecordLine   = "Recorded: %s, %s."
	textTypicalYear  = "a typical year, put together of months of several"
	textRecordedYear = "the year %s"

	textRunningRef = "Reference %s"
	textDot        = " · "

	labelCustomer   = "Customer"
	labelReference  = "Reference"
	labelDate       = "Date"
	labelPreparedBy = "Prepared by"
	labelTrip       = "Trip"
	labelWeather    = "Weather"
	labelRemarks    = "Remarks"

	textTripWhen  = "%s to %s, %s."
	textTripDay   = "%s, %s."
	textTripWhere = "From %s to %s."

	// The recommendation.
	labelRecommended = "Recommendation"
	labelNone        = "No system carries this trip as planned"
	labelVerdict     = "Verdict"
	titleFails       = "%s does not carry this trip as planned"
	titleNearest     = "Nearest: %s"
	textNameMakeUp   = "%s (%s)"

	textRecommend     = "We recommend %s, the smallest of the %s systems compared that carries this trip from the first day to the last."
	textRecommendPart = "We recommend %s, the smallest of the %s systems compared whose battery carries this trip from the first day to the last."
	textOnlyCarries   = "%s carries this trip from the first day to the last."
	textNoneCarries   = "None of the %s systems compared carries this trip as planned; %s comes nearest%s."
	textOnlyFails     = "%s does not carry this trip as planned%s."
	textSeeFixes      = ", and section %s says what would fix it"

	textTypicalHolds = "In weather that is typical of these places and dates the battery falls to %s at the lowest, on %s; it would switch off at %s."
	textTypicalThin  = "In weather that is typical of these places and dates the battery falls to %s at the lowest, on %s: %s above its cut-off of %s, where %s are wanted."
	textTypicalFlat  = "In weather that is typical of these places and dates the battery runs flat on %s of %s, first on %s; %s is unserved: asked for and not supplied."
	textTypicalShort = "In weather that is typical of these places and dates the battery does not run flat, at its lowest %s on %s, but %s is unserved: asked for and not supplied."

	textDrawsHold = "Of %s simulated trips with good and bad weather, %s ran flat: a flat risk of %s (%s allowing for chance, its 95\u00a0% interval)%s; in 19 of 20 simulated trips the battery kept at least %s."
	textDrawsFlat = "Of %s simulated trips with good and bad weather, %s ran flat: a flat risk of %s (%s allowing for chance, its 95\u00a0% interval)%s."
	textNoDraws   = "How it fares in worse weather than that was not simulated."

	textMissed     = "; counting those in which something was not supplied%s, %s are not carried (%s allowing for chance)%s"
	textMissedThin = " or the charge came closer than %s to the cut-off"
	textOverRisk   = ", more than the accepted %s"
	textNoOutlet   = "It has no outlet for %s."
	textTooSmall   = "Its inverter is too small for %s."
	textOffThen    = "Its inverter is off when %s would run."
	textShed       = "To get there it switches off appliances that are not essential (%s not used)."
	textTooWarm    = "%s cannot hold its temperature: %s inside at the warmest."
	textAndMore    = "and %s more"

	labelLowest   = "lowest charge"
	labelFlatRisk = "flat risk"
	labelFlatDays = "flat days"
	labelAutonomy = "on the battery alone"
	labelPrice    = "price"
	noteAutonomy  = "from full, without any charging"
	notePrice     = "as listed by the workshop"
	textBigRisk   = "%s allowing for chance (95\u00a0% interval), %s simulated trips"
	textOfDays    = "of %s, typical weather"
	textInterval  = "%s to %s"
	textMoney     = "%s %s"
	textDayAt     = "%s at %s"

	// Section titles, and what help says of them.
	titleSystems    = "The systems side by side"
	aboutSystems    = "the systems side by side, the recommended one marked"
	titleFixes      = "What would fix it"
	aboutFixes      = "single changes that would fix a trip that is not carried"
	titleCharge     = "State of charge over the trip"
	aboutCharge     = "state of charge with the spread of the simulated trips and flat days"
	titleEnergy     = "Energy day by day"
	aboutEnergy     = "where the energy comes from and goes, by day and by hour"
	titleChargers   = "Chargers compared"
	aboutChargers   = "sizes of the charging unit compared"
	titleSeason     = "The same trip at other times of the year"
	aboutSeason     = "risk of the same trip in each month"
	titleSizing     = "Sizes that hold"
	aboutSizing     = "map of battery against charger or solar panels"
	titleDays       = "Day by day"
	aboutDays       = "table of every day, with flags"
	titleTrip       = "Your trip as we understood it"
	aboutTrip       = "the itinerary"
	titleAppliances = "Your appliances as we understood them"
	aboutAppliances = "the appliances and their use"
	titleWear       = "What the trip costs the battery"
	aboutWear       = "cycles and share of the battery's life"
	titleSources    = "What the numbers rest on"
	aboutSources    = "assumptions, climate data with distances, models with sources"
	titleCautions   = "Cautions"
	aboutCautions   = "cautions; always there"

	// Systems side by side.
	textSystemsLead    = "%s systems were simulated with the same trip, appliances and weather."
	textCarried        = "A trip is carried when the battery never runs flat%s no appliance goes without%s; a system carries it when that is so in typical weather and in all but the accepted %s of simulated trips."
	textCarriedTypical = "A system carries the trip when, in typical weather, the battery never runs flat%s no appliance goes without%s."
	textCarriedReserve = ", and the charge stays at least %s above the cut-off"
	captionSystems     = "Table %s. The systems compared."
	captionSystemsPart = "Table %s. The systems compared, part %s of %s."
	captionCompare     = "Trips not carried, reserve and sources of the systems, each over the same simulated trips."
	badgeRecommended   = "Recommended"

	groupMakeUp  = "Made up of"
	groupTypical = "In typical weather"
	groupDraws   = "Over %s simulated trips"
	rowBattery   = "Battery"
	rowDriving   = "Alternator charging"
	rowMains     = "Mains charging"
	rowPanels    = "Solar panels"
	rowInverter  = "Inverter"
	rowPrice     = "Price"
	rowLowest    = "Lowest charge"
	rowCutOff    = "Cut-off"
	rowFlatDays  = "Flat days"
	rowUnserved  = "Energy not supplied"
	rowNoOutlet  = "Not fed"
	rowAutonomy  = "On the battery alone"
	rowFlatRisk  = "Flat risk"
	rowInterval  = "95\u00a0% interval"
	rowMissed    = "Trips not carried"
	rowNineteen  = "19 of 20 trips keep"
	rowVerdict   = "Verdict"

	textOf             = "%s of %s"
	textBatteries      = " (%d\u00a0×\u00a0%s)"
	textRoofPanels     = "%s fixed"
	textPortablePanels = "%s portable"
	noteSystems        = "Flat: disconnected at the cut-off to protect the battery. Energy not supplied: unserved energy, asked for and not supplied. Not fed: AC appliances away from mains for which the inverter is missing, too small or off. On the battery alone: time from full, without any charging, at the trip's mean use."
	noteMissed         = "Trips not carried: share of simulated trips in which the battery is flat, something is not supplied, or the wanted reserve is not kept."
	noteOverlap        = "Trips that start a day apart share most of their weather: the interval is too narrow."
	noteFlatRisk       = "Flat risk: share of simulated trips in which the battery is flat for some time. Its 95\u00a0% interval says how exactly the number of simulated trips fixes it; it says nothing of errors in models or input."
	noteNineteen       = "19 of 20 trips keep: the charge that so many simulated trips never fall below."

	// State of charge and energy.
	textChargeLead    = "The line shows %s in typical weather."
	textChargeBand    = "The bands behind it hold the middle 5\u00a0of\u00a010 and 9\u00a0of\u00a010 simulated trips; flat spells are hatched and their days flagged."
	captionCharge     = "State of charge over the trip, local time. Strips below tell when the vehicle drives and when it has mains."
	headSpells        = "When and why it runs flat in typical weather"
	headEvents        = "To look at"
	textEnergyLead    = "On a mean day of this trip the appliances use %s. After the chargers, %s comes from the sun, %s from the alternator and %s from mains."
	captionEnergy     = "Energy by day in typical weather: what comes in, and where it goes."
	captionTypicalDay = "A typical day by the local clock: the mean of the days of the trip."
	textLosses        = "Lost over the trip: %s in chargers, %s in the inverter, %s in the battery."
	textSpilled       = "%s of sun came when nothing could take it."

	// Chargers, season, sizes.
	textChargersLead       = "How the systems charge: the time that steady driving takes to bring the battery from 20 to 80 %, and what reaches the system over the whole trip in typical weather."
	captionChargersSystems = "Table %s. How the systems charge."
	headUnits              = "Units"
	headDriving20          = "20 to 80 % by driving"
	headFromDriving        = "From the alternator"
	headFromSun            = "From the sun"
	headFromMains          = "From mains"
	wordNever              = "never"
	noteChargers           = "By driving: at 25 °C, alternator warm, nothing switched on and panels covered; never: not within %s hours. Over the trip: after the chargers; a full battery takes no more, however large the charger."
	noteTransfer           = "From mains: without what a powered site feeds straight to AC appliances, up to %s on top."
	headSizes              = "Smaller and larger chargers"
	textSizesLead          = "How the trip goes with %s when its charging unit %s (%s) is smaller or larger."
	captionChargersTable   = "Table %s. Sizes of the charging unit."
	captionChargers        = "Trips not carried, with the 95\u00a0% interval, by size of the charging unit."
	settingCharger         = "charging current"
	textInputsTogether     = "%s, its inputs together"
	textEverySize          = "Every size tried holds; %s would do."
	textNoSize             = "None of the sizes tried holds."
	wordCharger            = "charger"
	textQuoted             = "“%s”"
	headSize               = "Size"
	headMeanReserve        = "Mean reserve"
	headFailed             = "Not carried"
	headVerdict            = "Verdict"
	wordHolds              = "holds"
	wordTooRisky           = "too risky"
	textThisOne            = "%s (this quote)"
	noteSizes              = "Each size over the same %s simulated trips. A trip is not carried when the battery runs flat, an appliance is cut off or a wanted reserve is not kept; a size holds when no more trips than accepted are not carried. Mean reserve: lowest charge above the cut-off."

	textSizingLead = "How many trips are not carried when %s has other sizes of battery and %s, over %s simulated trips for each pair: the battery runs flat, an appliance is cut off, or a wanted reserve is not kept."
	textCheapest   = "Of the sizes within the accepted risk, %s of battery with %s of %s is the cheapest, at about %s."
	captionSizing  = "Share of trips that are not carried, by size. Sizes on the pale side of the thick line are within the accepted risk."
	wordAsQuoted   = "as quoted: "
	textEveryPair  = "Every pair of sizes tried holds, down to %s of battery with %s of %s."
	textNoPair     = "None of the pairs of sizes tried holds, up to %s of battery with %s of %s."
	noteCropped    = "Sizes beyond the edges of the picture were tried too and change nothing more."
	noteSizing     = "A map for orientation: sizes between those that are sold, and limits of cables and alternator, are not looked at."
	textSmallest   = "With the quoted %s of %s the smallest battery tried that carries the trip is %s."
	textNoSmallest = "With the quoted %s of %s none of the batteries tried carries the trip."

	textSeasonLead     = "The same itinerary and appliances started on other dates, %s simulated trips for each."
	textOtherDraws     = "That is another number than above, so that the same trip may come out a little different, within its interval."
	textSeasonFew      = "Of the %s systems compared, %s further ones are left out of this section."
	textSeasonFewOne   = "Of the %s systems compared, one further is left out of this section."
	textSeasonDropped  = "The trip's own figures of sun and temperature belong to its dates and were left out here."
	captionSeason      = "Trips not carried by start of the trip; a corner marks more than the accepted risk."
	captionSeasonTable = "Table %s. Sun, air and risk of %s by start of the trip."
	headStart          = "Start"
	textThisTrip       = "%s (this trip)"

	// What would fix it.
	textFixesLead     = "Single changes to the trip, to how things are used or to %s, each tried on the same simulated trips; the best first. Several together do more than each alone."
	textNoFix         = "None of the single changes that were tried makes a clear difference to %s; it needs a larger system or another trip."
	captionFixes      = "Table %s. Changes to %s and what they do."
	headChange        = "Change"
	headMissing       = "Mean not supplied"
	headEnough        = "Enough?"
	textAsPlanned     = "As planned"
	wordEnough        = "yes"
	wordStillFlat     = "flat too often"
	wordStillShort    = "not all supplied"
	wordStillThin     = "too little reserve"
	noteFixes         = "Over %s simulated trips each, with the same weather for all. Listed are changes that make a difference beyond the chance of these trips. Not carried, with its interval: the battery runs flat, something is not supplied, or a wanted reserve is not kept. Enough: no more than the accepted %s of the trips are not carried."
	fixDriving        = "Drive longer on %s: %s instead of %s"
	fixNight          = "Spend the night of %s with mains, from 18:00 to 08:00"
	fixPanel          = "Add a folding panel of %s, turned to the sun while parked"
	fixCharger        = "%s with %s instead of %s"
	fixNewCharger     = "Add a charger from the alternator of %s"
	fixBattery        = "Battery of %s instead of %s"
	fixFridge         = "Set %s to %s instead of %s"
	fixFridgeEach     = "Set %s each %s warmer"
	fixInverterNight  = "Switch the inverter off from 22:00 to 07:00"
	fixInverterNeeded = "Switch the inverter on only while something runs on it"
	fixWithout        = "Do without: %s"
	fixFull           = "Set out with a full battery instead of %s"
	fixHeater         = "Fit a battery heater of %s"
	fixAdds           = "%s; this needs besides: %s"

	// Day by day.
	textDaysLead  = "%s in typical weather; energies in Wh."
	captionDays   = "Table %s. %s day by day."
	noteDays      = "Solar, alternator and mains: after the chargers; mains includes what a powered site feeds straight to AC appliances. Lowest and end: state of charge. A flag marks days on which the battery was disconnected at its cut-off, %s."
	noteSpilled   = "Spilled: sun that nothing could take."
	noteMissing   = "Not supplied: unserved energy, which the appliances asked for and did not get."
	noteDayRisk   = "Risk: share of simulated trips that are flat on that day."
	remarkFlat    = "flat %s"
	remarkTripped = "inverter off %s"
	remarkRefused = "charging refused"

	// Trip and appliances.
	textTripLead       = "Please check this list. Tell us if this is not your trip: every number in this document depends on it."
	captionTrip        = "Table %s. The itinerary."
	noteTrip           = "Times are local. A row of several days is the same every day."
	textSiteLimit      = ", up to %s"
	textDates          = "%s to %s"
	textSpanFrom       = "%s, %s"
	textFrom           = "from %s"
	textUpTo           = "up to %s"
	textSpan           = "%s to %s"
	textAppliancesLead = "Please check this list too. Tell us what is missing, what is not on board, and what you would use more or less."
	captionAppliances  = "Table %s. Appliances and their use."
	noteAppliances     = "Per day: what the appliance asks for on a mean day of this trip, before losses; a fridge follows the air around it."
	textStandby        = ", standby %s"
	textWindow         = "from %s for %s"
	textUses           = "%s at %s"
	textDuty           = ", drawing %s of the time"
	textFridge         = "%s, kept at %s"
	textFridgeRuns     = ", runs %s of the time"
	textMedicalMark    = "%s (medical)"

	// Wear.
	textWearLead = "In typical weather this trip moves the battery of %s through %s full cycles, which is %s of its cycle life. Its cycle life was taken as about %s cycles of %s depth."
	captionWear  = "Table %s. Cycles and wear of the batteries on this trip."
	noteWear     = "Cycles are counted with the rainflow method (ASTM E1049-85) and weighed by their depth. Years at this use: if one such day followed the other all year round. Ageing by time and heat comes on top and usually ends a battery's life first when it is cycled this little."
	headCycles   = "Full cycles"
	headTrips    = "Such trips in its cycle life"
	headYears    = "Years at this use"
	wordOverAge  = "more than %s"

	// Colophon.
	colophonMade   = "Made with %s on %s."
	colophonInput  = "Input %s; seed %s; %s simulated trips; steps of %s; sky light by %s; ground reflectance %s; turbidity %s; use %s."
	colophonRemake = "To make this document again: %s"
	wordByRule     = "by place and month"
	wordAsPlanned  = "as planned"

	// Heads of columns.
	headDate       = "Date"
	headDates      = "Dates"
	headPlace      = "Place"
	headDrive      = "Drive h"
	headMainsH     = "Mains h"
	headSun        = "Sun kWh/m²"
	headAir        = "Air %s"
	headSolar      = "Solar"
	headAlternator = "Alternator"
	headMains      = "Mains"
	headAppliances = "Appliances"
	headUnserved   = "Not supplied"
	headSpilled    = "Spilled"
	headLow        = "Lowest"
	headEnd        = "End"
	headDayRisk    = "Risk"
	headRemark     = "Remark"
	headIdle       = "Engine idling"
	headIdleH      = "Idling h"
	headDriveAt    = "Driving"
	headMainsAt    = "Mains"
	headGenerator  = "Generator"
	headShade      = "Shade"
	headOwnWeather = "Own weather figures"
	headNote       = "Note"
	headAppliance  = "Appliance"
	headSupply     = "Supply"
	headPower      = "Power"
	headUse        = "Use"
	headPerDay     = "Per day"
	headShare      = "Share"
	headSystem     = "System"
	headWearShare  = "Cycle life used"

	// Words.
	wordDay, wordDays = "day", "days"
	wordPoints        = "points"
	wordTypical       = "typical weather"
	wordNone          = "none"
	wordDash          = "–"
	wordFlat          = "flat"
	wordUnnamed       = "the system"
	wordAllDay        = "all day"
	wordThermostat    = "by its thermostat"
	wordNotEssential  = "not essential"
	wordTogether      = "Together"
	wordThousands     = "more than 10,000"

	// Pages and logo.
	textPageOf  = "%d of %d"
	textFigure  = "Figure %d."
	textMissing = "□ stands for letters and signs that the typefaces of this PDF lack. The HTML document of the same name shows them as they were written."

	// Errors.
	textBadPaper   = "%q is not a format of paper; use a4 or letter"
	textBadSection = "%q is not a section; there are: %s"
	textNoResult   = "there is no result to make a document of"
	textLogoBig    = "logo %s: %d KiB are too many; use a picture of at most %d KiB"
	textLogoBad    = "logo %s: %w"
	textLogoKind   = "it is neither a PNG nor a JPEG picture, whatever its name says"
	textLogoPixels = "%d × %d pixels are too many; use at most %d on a side"
	textLogoSVG    = "it holds something that cannot be drawn; turn letters into paths, or use PNG"
	textLogoBox    = "its width and height are not given; add a viewBox, or use PNG"
)

// recordedTrips and recordedWeather change words where a weather file takes the
// place of simulated weather: of the trips of the risk, and of the trip itself.
var (
	recordedTrips = []string{"simulated trips with good and bad weather", "trips on recorded weather", "simulated trip", "recorded trip", "Simulated trip", "Recorded trip"}

	recordedWeather = []string{
		"In weather that is typical of these places and dates", "In the recorded weather of these dates",
		"n typical weather", "n the recorded weather", "typical weather", "recorded weather",
	}
)

// verdictWords say how a system fares.
var verdictWords = map[report.Judgement]string{
	report.Carries: "carries the trip", report.InPart: "carries it, but does not feed every appliance",
	report.Thin: "too little reserve", report.Risky: "too risky", report.FallsShort: "falls short", report.RunsFlat: "runs flat",
}

// cutWords say in a table what cuts appliances off though the battery is not flat.
var cutWords = map[sim.EventKind]string{
	sim.Overload: "inverter too small", sim.OverCurrent: "battery’s current limit", sim.LowVoltage: "voltage too low",
}

var supplyWords = map[sim.Supply]string{sim.DC: "battery", sim.AC: "AC\u00a0outlet"}

var dayWords = map[sim.DayMask]string{
	sim.DrivingDays: "driving days only", sim.ParkedDays: "parked days only",
	sim.OffGridDays: "days without mains only", sim.MainsDays: "days with mains only",
}

var acrossNames = map[sim.Quantity]string{
	sim.BatterySize: "battery", sim.ChargerSize: "charging current", sim.PanelSize: "solar panels",
}

var inverterModes = map[sim.InverterMode]string{
	sim.InverterAlways: "always on", sim.InverterNeeded: "on while an AC appliance runs", sim.InverterWindow: "on at set hours",
}
