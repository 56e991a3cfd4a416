package web

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
)

// saver writes a document back into its folder. The first change of a file in a
// session keeps what stood there as name.bak; every write is atomic. Where
// somebody else has changed a file meanwhile that would be written or taken away,
// nothing is.
type saver struct {
	dir    string
	known  map[string][]byte // what we read or wrote last
	backed map[string]bool
}

func newSaver(dir string, read map[string][]byte) *saver {
	return &saver{dir, read, map[string]bool{}}
}

// save makes the folder hold the files: it writes those that differ from what was
// read or written last, then takes away tables that the document no longer has.
func (s *saver) save(files map[string][]byte) error {
	var written, gone []string
	for name, data := range files {
		if old, known := s.known[name]; !known || !bytes.Equal(old, data) {
			written = append(written, name)
		}
	}
	for name := range s.known {
		if _, kept := files[name]; !kept {
			gone = append(gone, name)
		}
	}
	slices.Sort(written)
	slices.Sort(gone)
	if err := s.check(written, gone); err != nil {
		return err
	}
	if err := s.write(files, written); err != nil {
		return err
	}
	return s.remove(gone)
}

// check compares the files that would be touched with what was read or written
// last.
func (s *saver) check(written, gone []string) error {
	var foreign []string
	for _, name := range append(slices.Clone(written), gone...) {
		disk, err := os.ReadFile(filepath.Join(s.dir, name))
		old, known := s.known[name]
		switch {
		case errors.Is(err, fs.ErrNotExist):
			if known && slices.Contains(written, name) {
				foreign = append(foreign, name)
			}
		case err != nil:
			return fmt.Errorf("%s cannot be read before saving: %w", name, err)
		case !known || !bytes.Equal(disk, old):
			foreign = append(foreign, name)
		}
	}
	if len(foreign) == 0 {
		return nil
	}
	return fmt.Errorf("changed by another program: %s; export your tables, then start again", strings.Join(foreign, ", "))
}

// write writes some of the files, all or none of those that have a backup already.
func (s *saver) write(files map[string][]byte, names []string) error {
	var again []report.File
	first := map[string][]byte{}
	for _, name := range names {
		if s.backed[name] {
			again = append(again, report.File{Name: name, Data: files[name]})
		} else {
			first[name] = files[name]
		}
	}
	if err := scenario.Save(s.dir, first); err != nil {
		return err
	}
	for name, data := range first {
		s.known[name], s.backed[name] = data, true
	}
	if len(again) == 0 {
		return nil
	}
	if err := report.WriteSet(s.dir, again); err != nil {
		return err
	}
	for _, f := range again {
		s.known[f.Name] = f.Data
	}
	return nil
}

// remove takes tables away; what stood there when the session began stays as
// name.bak.
func (s *saver) remove(names []string) error {
	for _, name := range names {
		path := filepath.Join(s.dir, name)
		err := error(nil)
		if s.backed[name] {
			err = os.Remove(path)
		} else {
			err = os.Rename(path, path+".bak")
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		delete(s.known, name)
		s.backed[name] = true
	}
	return nil
}
