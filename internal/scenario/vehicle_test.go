package scenario

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAVehicleHas12VoltsUnlessItIsSaid(t *testing.T) {
	files := baseFiles(t)
	files["systems.csv"] = []byte("system,battery_ah,vehicle_v\nvan,100,\ntruck,100,24\n")
	delete(files, "chargers.csv")
	delete(files, "panels.csv")
	sc := mustLoad(t, files)
	assert.Equal(t, 12.0, sc.Systems[0].VehicleV)
	assert.Equal(t, 24.0, sc.Systems[1].VehicleV)
	files["systems.csv"] = []byte("system,battery_ah,vehicle_v\nvan,100,6\n")
	_, err := FromFiles("x", files)
	assert.ErrorContains(t, err, `systems.csv:2: vehicle_v: "6" is not`)
	assert.ErrorContains(t, err, "12")
}
