package report

// Every text of the tables and files is here, so that it can be reviewed and
// translated in one place. %s stands for a finished piece: a name, a number
// with its unit, a date.
const (
	// Verdicts, one sentence each. First piece: name and make-up of the system.
	textCarries   = "%s carries this trip; the lowest point is %s on %s at %s."
	textTypically = "%s carries this trip in typical weather; the lowest point is %s on %s at %s."
	textBarely    = "%s carries this trip, but only just: the lowest point is %s on %s at %s, %s above its cut-off."
	textFlat      = "%s runs flat on %s of %s, first on %s: %s unserved."
	textLacks     = "%s does not run flat, but leaves %s unserved: %s; the lowest point is %s on %s at %s."
	textSheds     = "It switches off non-essential appliances at low charge: %s not used."
	textNoOutlet  = "It has no outlet for %s."
	textWarm      = "%s cannot hold its temperature (%s inside at the warmest)."

	textRisk = "In %s of %s simulated trips with the weather of these places and dates it runs flat at least once: flat risk %s (95 %% interval %s to %s)."
	textThin = "The reserve of %s above the cut-off is less than the wanted %s."
	textOver = "That is more than the accepted %s."

	textRecommended     = "Of %s, %s is the smallest that carries this trip."
	textRecommendedPart = "Of %s, none feeds every appliance; %s is the smallest that carries the rest of this trip."
	textNoneHolds       = "None of the %s carries this trip; %s comes nearest."
	textAccepted        = "Accepted flat risk: %s."
	textMarks           = "\">\" marks the recommended system, \"!\" one that runs flat, \"?\" one to look at."

	// Words for a system's verdict in a table.
	wordCarries = "carries"
	wordFlat    = "RUNS FLAT"
	wordInPart  = "in part"
	wordLacks   = "falls short"
	wordThin    = "thin reserve"
	wordRisky   = "too risky"

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
	textDraws        = "%s simulated trips: %s."
	textWarnings     = "Warnings"

	// Remarks in tables.
	remarkFlat     = "FLAT\u00a0%s"
	remarkTripped  = "inverter off\u00a0%s"
	remarkRefused  = "charging refused"
	textSpell      = "%s to %s (%s), %s unserved."
	textSpellTo    = "%s to the end of the trip (%s), %s unserved."
	textEventMany  = "%s: %s (%s times, first %s)"
	textEventTrip  = "%s: %s"
	textEventOnce  = "%s: %s (%s)"
	textFridge     = "%s runs %s of the time."
	textFridgeHot  = "%s cannot hold its temperature: %s inside at the warmest."
	textUnservedOf = "%s (%s of %s)"
	textAndMore    = "and %s more"

	// Footnotes.
	textDayNote     = "Wh after the chargers; alt. = alternator; mains includes what a powered site feeds straight to AC appliances; spilt = sun that nothing could take; SoC = state of charge, lowest and at the end of the day. \"!\" and FLAT mark days on which the battery was disconnected at its cut-off (%s)."
	textDayRiskNote = "risk = share of simulated trips that are flat on that day."
	textColdCutOff  = "%s, in the cold up to %s"
	textLosses      = "Lost on the way: %s in chargers, %s in the inverter, %s in the battery. The battery ends %s."
	textEndsHigher  = "%s fuller than it began"
	textEndsLower   = "%s emptier than it began"
	textEndsSame    = "as full as it began"
	textWear        = "Wear: %s full cycles, %s of the battery's cycle life. The battery alone would carry the trip's mean day for %s."
	textClimate     = "Climate: %s Nearest figures: %s."
	textOwnFigures  = "The trip's own figures are used at %s."
	textAssumptions = "Steps of %s; seed %s; ground reflectance %s; input %s; %s."
	textEstimate    = "An estimate for planning, not a guarantee. Batteries, inverters and mains can burn, shock and kill: fuse close to the battery, choose cable by current, length and local standard, and leave mains work to licensed people."
	textMedical     = "%s: an appliance that somebody's health depends on needs an independent backup."
	textHidden      = "%s left out for want of width; a wider terminal, --csv or --json shows them."

	// Files.
	textDaysFile  = "one row per system and local day, in typical weather"
	textHoursFile = "one row per system and hour, in typical weather"

	// Words.
	textDay, textDays           = "day", "days"
	textSystem, textSystems     = "system", "systems"
	textColumn, textColumns     = "column", "columns"
	textSpellOne, textSpellMany = "flat spell", "flat spells"
	textPoints                  = "points"
	textUnlimited               = "unlimited"

	// Errors.
	textBadLocale     = "%q is not a known locale; use e.g. en-GB, en-US, de, fr or es"
	textBadDegrees    = "%q is not a unit of temperature; use c or f"
	textNotWritten    = "nothing was written: %w"
	textOutsideFolder = "%q is not a file name inside the output folder"
	textIsFolder      = "nothing was written: %s is a folder"
	textNotFolder     = "%s is not a folder"
)

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
	headLoads     = "loads Wh"
	headSpilt     = "spilt Wh"
	headLow       = "low SoC"
	headEnd       = "end SoC"
	headDayRisk   = "risk"
	headRemark    = "remark"
	headSystem    = "system"
	headBattery   = "battery"
	headDriveA    = "drive A"
	headPanelW    = "panel W"
	headMainsA    = "mains A"
	headInverterW = "inverter W"
	headFlatDays  = "flat days"
	headUnserved  = "unserved Wh"
	headRisk      = "flat risk"
	headPrice     = "price"
	headVerdict   = "verdict"
)

// chemistryWords are the short names of battery chemistries.
var chemistryWords = map[string]string{
	"lifepo4": "lithium", "agm": "AGM", "gel": "gel", "flooded": "flooded lead-acid",
}
