// Package scenarios holds the shipped example trips: complete scenario folders
// that run as they are, embedded for tests, documents and the local page. Their
// customers, plans and prices are invented; places and coordinates are real.
package scenarios

import (
	"embed"
	"io/fs"
)

//go:embed */*.csv */README.md
var files embed.FS

// Names lists the scenarios in alphabetical order.
func Names() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		panic(err) // embedded
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = e.Name()
	}
	return names
}

// FS returns the folder of a scenario; the error is fs.ErrNotExist for a name
// that Names does not list.
func FS(name string) (fs.FS, error) {
	if !fs.ValidPath(name) || name == "." {
		return nil, fs.ErrNotExist
	}
	if _, err := fs.Stat(files, name); err != nil {
		return nil, fs.ErrNotExist
	}
	return fs.Sub(files, name)
}
