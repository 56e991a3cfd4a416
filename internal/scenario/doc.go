// Package scenario is the room for the scenario folder: CSV tables in, checked
// sim values out, and back. It is the only place that knows the names of files
// and columns; it knows nothing of physics and runs nothing.
//
//	files -> Parse -> Tables -> Build -> Scenario{Trip, Loads, Systems, Job}
//
// The tables are described as data (schema.go): names, units, kinds, ranges and
// defaults drive the reading, the checks, the commented starter folder and the
// column reference. Everything that is wrong in a folder is reported at once,
// as Problems with file, line and column and a hint how to mend it.
//
// Time zones come from simplified world outlines (timezone-boundary-builder,
// Open Database Licence), heights from the climate data of package weather.
package scenario
