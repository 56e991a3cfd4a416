package solar

// CellTempNOCT is the cell temperature (deg C) by the nominal operating cell
// temperature: Ross 1976, Interface design considerations for terrestrial
// solar cell modules, 12th IEEE Photovoltaic Specialists Conference (and IEC
// 61215): Ta + (NOCT-20)/800 * G.
func CellTempNOCT(airTempC, poaWm2, noctC float64) float64 {
	return airTempC + (noctC-20)*(1.0/800)*poaWm2
}

// CellTempFaiman is the module temperature (deg C) with wind (m/s): Faiman
// 2008, Assessing the outdoor operating temperature of photovoltaic modules,
// Progress in Photovoltaics 16: 307-315; u0 W/(m2 K) and u1 W s/(m3 K), there
// 25 and 6.84 on a rack with air on both sides.
func CellTempFaiman(airTempC, poaWm2, windMs, u0, u1 float64) float64 {
	return airTempC + poaWm2/(u0+u1*windMs)
}

// DCPowerW is the DC power (W) of a panel held at its power point: Dobos
// 2014, PVWatts Version 5 Manual, NREL/TP-6A20-62641. tempCoeffPerK is
// negative (-0.0035 for -0.35 %/K).
func DCPowerW(ratedW, effectiveWm2, cellTempC, tempCoeffPerK float64) float64 {
	return ratedW * effectiveWm2 * 1e-3 * (1 + tempCoeffPerK*(cellTempC-25))
}

// LowLightShare is the share of the linear power that is left at a low
// effective irradiance: 1 above 125 W/m2, G/125 below, so that the power falls
// with the square of the light (same manual: 0.008 G^2/1000).
func LowLightShare(effectiveWm2 float64) float64 {
	return clamp(lowLight(effectiveWm2), 0, 1)
}

// lowLightWm2 is the effective irradiance below which a panel gives less than in
// proportion, W/m2.
const lowLightWm2 = 125

// lowLight is LowLightShare between 0 and lowLightWm2.
func lowLight(effectiveWm2 float64) float64 { return effectiveWm2 * (1.0 / lowLightWm2) }

// PanelParams says how a panel turns light into power.
type PanelParams struct {
	TempCoeffPerK  float64 // power per kelvin above 25 C, negative: -0.0035
	NOCTC          float64 // nominal operating cell temperature, 42..50 (flush on a roof: hotter)
	Soiling        float64 // share of the light lost to dirt and other fixed losses, 0..1
	LinearLowLight bool    // true: no loss at low light (see [LowLightShare])
}

// DefaultPanel is a crystalline silicon panel as data sheets have it (common
// practice, no source); soiling of 2 %, Dobos 2014.
var DefaultPanel = PanelParams{TempCoeffPerK: -0.0035, NOCTC: 45, Soiling: 0.02}

// PanelW is the DC power (W) of a panel at its power point: [DCPowerW] at the
// temperature of [CellTempNOCT], with soiling and, unless switched off, the
// low-light loss of [LowLightShare]. poaWm2 is the effective irradiance of
// [PlaneOfArrayWm2]. Never negative; allocates nothing.
func PanelW(ratedW, poaWm2, airTempC float64, pp PanelParams) float64 {
	effective := poaWm2 * (1 - pp.Soiling)
	if effective <= 0 {
		return 0
	}
	power := DCPowerW(ratedW, effective, CellTempNOCT(airTempC, effective, pp.NOCTC), pp.TempCoeffPerK)
	if effective < lowLightWm2 && !pp.LinearLowLight {
		power *= lowLight(effective)
	}
	return max(0, power)
}

// RegulatorOut follows power through a solar regulator that holds the panel at
// its power point up to a limit on its output (W, what unit and battery take):
// what it delivers, what it loses, and what is never taken from the panel
// (spilled). panelW = deliveredW + lostW + spilledW. efficiency is 0..1.
func RegulatorOut(panelW, efficiency, limitW float64) (deliveredW, lostW, spilledW float64) {
	if panelW <= 0 || efficiency <= 0 {
		return 0, 0, max(0, panelW)
	}
	taken := min(panelW, max(0, limitW)/efficiency)
	deliveredW = taken * efficiency
	return deliveredW, taken - deliveredW, panelW - taken
}
