// Package sim runs a trip in time: itinerary -> slots -> weather, demand and
// supply traces -> battery kernel -> ledger -> days, flat spells and risk.
//
// It knows the trip, the appliances and the candidate systems as plain values
// (Trip, Load, System) and the physics as functions of solar, weather and
// profiles. It never reads a file, never prints and never looks at the clock:
// the same input gives the same bytes on any number of cores.
//
// Conventions. Energies are Wh, powers W, currents A, capacities Ah,
// temperatures degrees Celsius, shares 0..1 (0..100 only where the name ends in
// Pct). Time is elapsed time in UTC; the IANA zone of a stop serves only for
// local clock hours, days and labels, so a change to or from daylight-saving
// time neither skips nor doubles energy: such a day simply has 23 or 25 hours.
package sim
