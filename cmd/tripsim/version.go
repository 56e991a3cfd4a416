package main

import (
	"runtime/debug"
	"strings"
)

// versionName is the version as it stands in documents and files.
func versionName() string {
	info, _ := debug.ReadBuildInfo()
	return program + " " + versionOf(info)
}

// versionOf is the module's version, else the revision that the build was made
// from, with +dirty where the sources were changed since; "devel" where neither is
// known.
func versionOf(info *debug.BuildInfo) string {
	if info == nil {
		return "devel"
	}
	if version := strings.TrimPrefix(info.Main.Version, "v"); version != "" && version != "(devel)" {
		return version
	}
	revision, modified := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision = s.Value[:min(12, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true":
			modified = "+dirty"
		}
	}
	if revision == "" {
		return "devel"
	}
	return revision + modified
}

func versionText() string {
	text := versionName() + "\n"
	if info, ok := debug.ReadBuildInfo(); ok {
		text += "built with " + info.GoVersion + "\n"
	}
	return text
}
