// Package profiles holds the component models of a small off-grid power
// system and their generic presets: battery chemistries, alternator and
// chargers, inverter, fridge, appliances, conductors and fuses.
//
// Everything is pure: numbers in, numbers out, no clock, no files besides the
// preset tables embedded at build time (presets/*.csv, each row with its
// source, or "common practice, no source"). The package knows nothing of
// trips, weather or scenarios.
//
// Sources: kinetic battery model, Manwell & McGowan, Solar Energy 50 (1993)
// 399-405; LiFePO4 rest voltage, Safari & Delacourt, J. Electrochem. Soc. 158
// (2011) A562; charge efficiency of lead, Copetti, Lorenzo & Chenlo, Prog.
// Photovolt. 1 (1993) 283-292; charge acceptance, Mas (1967); cycle counting,
// ASTM E1049-85; inverter loss, Schmidt & Sauer, Sonnenenergie 4/1996;
// conductors, IEC 60228:2004.
//
// Units are in the names: A amperes, Ah ampere-hours, V volts, W watts, H
// hours, C degrees Celsius, Ohm ohms. Shares are 0..1.
package profiles
