package report

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

// File is a finished file: a path relative to the output folder, with slashes,
// and its bytes.
type File struct {
	Name string
	Data []byte
}

// WriteSet writes files into dir, which it makes when needed. Every file is
// first written whole under a temporary name beside its place; only when all of
// them are safely on disk do they take their names. A full disk or a read-only
// folder therefore leaves what was there before, and no half-written file.
func WriteSet(dir string, files []File) (err error) {
	made, err := makeDirs(dir)
	if err != nil {
		return writeError(err)
	}
	var pending []string // temporary names, in step with files
	defer func() {
		if err == nil {
			return
		}
		for _, temp := range pending {
			os.Remove(temp)
		}
		for i := len(made) - 1; i >= 0; i-- {
			os.Remove(made[i]) // only when empty
		}
	}()
	for _, f := range files {
		if !filepath.IsLocal(filepath.FromSlash(f.Name)) {
			return fmt.Errorf(textOutsideFolder, f.Name)
		}
		path := filepath.Join(dir, filepath.FromSlash(f.Name))
		more, err := makeDirs(filepath.Dir(path))
		made = append(made, more...)
		if err != nil {
			return writeError(err)
		}
		temp, err := writeTemp(path, f.Data)
		if temp != "" {
			pending = append(pending, temp)
		}
		if err != nil {
			return writeError(err)
		}
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			return fmt.Errorf(textIsFolder, path)
		}
	}
	for i, f := range files {
		if err := os.Rename(pending[i], filepath.Join(dir, filepath.FromSlash(f.Name))); err != nil {
			return writeError(err)
		}
	}
	return nil
}

// writeTemp writes data to a new file beside path and returns its name.
func writeTemp(path string, data []byte) (name string, err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*.tmp")
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err == nil {
		err = f.Sync()
	}
	return f.Name(), errors.Join(err, f.Close())
}

// makeDirs is MkdirAll that tells which folders it made, outermost first.
func makeDirs(dir string) (made []string, err error) {
	var missing []string
	for d := filepath.Clean(dir); ; d = filepath.Dir(d) {
		if _, err := os.Stat(d); err == nil || !errors.Is(err, os.ErrNotExist) {
			break
		}
		missing = append(missing, d)
	}
	for i := len(missing) - 1; i >= 0; i-- {
		if err := os.Mkdir(missing[i], 0o755); err != nil && !errors.Is(err, os.ErrExist) {
			return made, err
		}
		made = append(made, missing[i])
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return made, fmt.Errorf(textNotFolder, dir)
	}
	return made, nil
}

// writeError says what a failed write leaves behind.
func writeError(err error) error { return fmt.Errorf(textNotWritten, err) }

// Slug makes a file name of a person's text: letters and digits of any script
// in lower case, everything else a hyphen. Blank text gives "unnamed".
func Slug(s string) string {
	const longest = 40 // runes; well within what file systems take
	var b strings.Builder
	n := 0
	hyphen := false
	for _, r := range strings.ToLower(Clean(s)) {
		if !isWord(r) {
			hyphen = n > 0
			continue
		}
		if n >= longest {
			break
		}
		if hyphen {
			b.WriteByte('-')
			hyphen = false
			n++
		}
		b.WriteRune(r)
		n++
	}
	switch {
	case b.Len() == 0:
		return "unnamed"
	case deviceName.MatchString(b.String()):
		b.WriteString("-1")
	}
	return b.String()
}

// deviceName matches what some systems take for a device, whatever its ending.
var deviceName = regexp.MustCompile(`^(con|prn|aux|nul|(com|lpt)[0-9])$`)
