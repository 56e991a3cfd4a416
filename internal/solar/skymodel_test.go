package solar

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSkyModelsAreFoundByName(t *testing.T) {
	for i, name := range SkyModelNames() {
		m, ok := SkyModelNamed(" " + name + " ")
		assert.True(t, ok)
		assert.Equal(t, SkyModel(i), m)
		assert.Equal(t, name, m.String())
	}
	m, ok := SkyModelNamed("PEREZ")
	assert.True(t, ok)
	assert.Equal(t, "Perez et al. 1990", m.Source())
	_, ok = SkyModelNamed("isotropic")
	assert.False(t, ok)
	assert.Equal(t, HayDavies, SkyModel(0), "the default")
}
