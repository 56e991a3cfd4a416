package report

import "tripsim/internal/sim"

// AdviceFiles documents the CSV files of size, compare, season, fix and calibrate.
func AdviceFiles() []FileDoc {
	f, b := DefaultFormat(), &Basis{}
	size := &SizeAdvice{Basis: b, System: &sim.System{}, Sizings: []*sim.Sizing{{}}}
	sizes := &MapAdvice{Basis: b, Map: &sim.SizeMap{Across: sim.ChargerSize}}
	compare := &CompareAdvice{Basis: b, Comparison: &sim.Comparison{}}
	vary := &VaryAdvice{Basis: b, Variation: &sim.Variation{Column: "the figure"}}
	season := &SeasonAdvice{Basis: b, Season: &sim.Season{}}
	fix := &FixAdvice{Basis: b}
	calibrate := &CalibrationAdvice{Basis: b, Calibration: &sim.Calibration{}}
	return []FileDoc{
		{"size.csv", textSizeFile, size.Table(f).Columns},
		{"size-map.csv", textMapFile, sizes.Table().Columns},
		{"compare.csv", textCompareFile, compare.forFile(f).Columns},
		{"vary.csv", textVaryFile, vary.forFile().Columns},
		{"season.csv", textSeasonFile, season.Table().Columns},
		{"fix.csv", textFixFile, fix.forFile().Columns},
		{"calibrate.csv", textCalibrateFile, calibrate.months(nil, f, false).Columns},
	}
}
