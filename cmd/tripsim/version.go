package main

import (
	"fmt"
	"runtime/debug"
	"strings"
)

// versionName is the version as it stands in documents and files: of the build,
// with the revision it was made from where that is known.
func versionName() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return program + " devel"
	}
	version := strings.TrimPrefix(info.Main.Version, "v")
	if version == "" || version == "(devel)" {
		version = "devel"
	}
	revision, modified := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision = s.Value[:min(12, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true":
			modified = ", changed since"
		}
	}
	if revision == "" || strings.Contains(version, revision) {
		return program + " " + version
	}
	return fmt.Sprintf("%s %s (revision %s%s)", program, version, revision, modified)
}

func versionText() string {
	text := versionName() + "\n"
	if info, ok := debug.ReadBuildInfo(); ok {
		text += "built with " + info.GoVersion + "\n"
	}
	return text
}
