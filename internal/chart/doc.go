// Package chart draws every picture of the program: state of charge over a
// trip, energy by day, a typical day, systems compared, the season, the sizing
// map, one setting varied, the reliability of the forecast, the sun's year.
//
// Each constructor takes finished results (package sim, or the plain structs of
// this package) and returns a *Picture, which holds no bytes yet: SVG, PNG and
// PDF paint the same drawing on different canvases, and Structure tells what was
// drawn and where, for tests. All of it runs through gonum.org/v1/plot: data
// coordinates, plotters and canvases are its own; theme.go holds the look.
//
// It never computes physics, never reads a file and never looks at the clock:
// the same input gives the same bytes.
//
// Sources. Categorical colours: Okabe & Ito (2008), "Color Universal Design".
// Sequential colours: Harrower & Brewer (2003), "ColorBrewer.org", The
// Cartographic Journal 40(1): 27-37. Text contrast: W3C, Web Content
// Accessibility Guidelines 2.1 (2018), criterion 1.4.3. Thinning of long
// curves: Jugel, Jerzak, Hackenbroich & Markl (2014), "M4: a
// visualization-oriented time series data aggregation", PVLDB 7(10): 797-808.
package chart
