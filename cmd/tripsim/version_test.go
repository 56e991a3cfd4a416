package main

import (
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTheVersionIsTheModulesOrTheRevision(t *testing.T) {
	build := func(version string, settings ...debug.BuildSetting) *debug.BuildInfo {
		return &debug.BuildInfo{Main: debug.Module{Version: version}, Settings: settings}
	}
	revision := debug.BuildSetting{Key: "vcs.revision", Value: "0123456789abcdef0123"}
	changed := debug.BuildSetting{Key: "vcs.modified", Value: "true"}
	for want, info := range map[string]*debug.BuildInfo{
		"1.2.3":              build("v1.2.3", revision),
		"0123456789ab":       build("(devel)", revision),
		"0123456789ab+dirty": build("", revision, changed),
		"devel":              build("(devel)"),
	} {
		assert.Equal(t, want, versionOf(info))
	}
	assert.Equal(t, "devel", versionOf(nil))
}
