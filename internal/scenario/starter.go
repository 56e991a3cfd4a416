package scenario

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

//go:embed starter/*.csv
var starterRows embed.FS

// StarterFiles are the commented tables of a new scenario: every column with
// its meaning, and a small example that runs.
func StarterFiles() map[string][]byte {
	files := map[string][]byte{}
	for _, s := range Specs() {
		rows, err := starterRows.ReadFile("starter/" + s.File)
		if err != nil {
			panic(err) // embedded; a test reads them all
		}
		files[s.File] = append([]byte(s.comments()), rows...)
	}
	return files
}

// comments explains a table in comment lines. They hold no quotation mark, so
// that a spreadsheet leaves them as they are.
func (s *TableSpec) comments() string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s: %s per row. %s\n", s.File, s.Row, s.About)
	b.WriteString("# Lines that start with # are comments. A blank cell stands for the default; columns may be left out or moved.\n#\n")
	columns := s.Columns
	if s == &jobSpec {
		columns = jobKeys.Columns
	}
	for i := range columns {
		c := &columns[i]
		unit := ""
		if c.Unit != "" {
			unit = " [" + c.Unit + "]"
		}
		fmt.Fprintf(&b, "# %s%s: %s (blank: %s; e.g. %s)\n", c.Name, unit, c.Meaning(), c.BlankMeans(), c.Example)
	}
	b.WriteString("#\n")
	return b.String()
}

// WriteNew writes files into dir, which it creates, and refuses when one of
// them exists. Each file appears whole or not at all; when one cannot be
// written those already written are removed again.
func WriteNew(dir string, files map[string][]byte) error {
	names := ordered(files)
	for _, name := range names {
		if _, err := os.Lstat(filepath.Join(dir, name)); err == nil {
			return fmt.Errorf("%s exists already; choose another folder or remove it first", filepath.Join(dir, name))
		} else if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	var written []string
	for _, name := range names {
		path := filepath.Join(dir, name)
		if err := writeFile(path, files[name], false); err != nil {
			for _, w := range written {
				_ = os.Remove(w)
			}
			return err
		}
		written = append(written, path)
	}
	return nil
}

// Save writes changed files into an existing folder, each atomically; what
// stood there before is kept beside it as name.bak. Files whose content is the
// same are left alone.
func Save(dir string, files map[string][]byte) error {
	for _, name := range ordered(files) {
		path := filepath.Join(dir, name)
		old, err := os.ReadFile(path)
		switch {
		case err == nil && string(old) == string(files[name]):
			continue
		case err == nil:
			if err := writeFile(path+".bak", old, true); err != nil {
				return err
			}
		case !errors.Is(err, fs.ErrNotExist):
			return err
		}
		if err := writeFile(path, files[name], true); err != nil {
			return err
		}
	}
	return nil
}

// ordered lists the names in the order of the tables; only tables can be
// written, so that no name leads out of the folder.
func ordered(files map[string][]byte) []string {
	var names []string
	for _, s := range Specs() {
		if _, ok := files[s.File]; ok {
			names = append(names, s.File)
		}
	}
	return names
}

// writeFile writes a temporary file beside path and renames it: a reader sees
// the old file or the new one, and a full disk leaves the old one. Without
// replace an existing file is an error even if it appeared just now.
func writeFile(path string, data []byte, replace bool) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = f.Close()
			_ = os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(data); err != nil {
		return err
	}
	if err = f.Chmod(0o644); err != nil {
		return err
	}
	if err = f.Sync(); err != nil {
		return err
	}
	if err = f.Close(); err != nil {
		return err
	}
	if !replace {
		if err = os.Link(f.Name(), path); err == nil {
			return os.Remove(f.Name())
		} else if errors.Is(err, fs.ErrExist) {
			return err
		} // no hard links here: rename
	}
	return os.Rename(f.Name(), path)
}
