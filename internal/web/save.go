package web

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
)

// saver writes a document back into its folder. The first change of a file in a
// session keeps what stood there as name.bak; every write is atomic. A file that
// somebody else has changed meanwhile is left alone.
type saver struct {
	dir    string
	known  map[string][]byte // what we read or wrote last
	backed map[string]bool
}

func newSaver(dir string, read map[string][]byte) *saver {
	return &saver{dir, read, map[string]bool{}}
}

// save writes the files that differ from what is on disk.
func (s *saver) save(files map[string][]byte) error {
	var rest []report.File
	first := map[string][]byte{}
	for name, data := range files {
		old, known := s.known[name]
		if known && bytes.Equal(old, data) {
			continue
		}
		disk, err := os.ReadFile(filepath.Join(s.dir, name))
		switch {
		case errors.Is(err, fs.ErrNotExist) && !known:
		case err != nil:
			return fmt.Errorf("%s cannot be read before saving: %w", name, err)
		case !known || !bytes.Equal(disk, old):
			return fmt.Errorf("%s was changed by another program; export your tables, then start again", name)
		}
		if s.backed[name] {
			rest = append(rest, report.File{Name: name, Data: data})
		} else {
			first[name] = data
		}
	}
	if err := s.removeOthers(files); err != nil {
		return err
	}
	if err := scenario.Save(s.dir, first); err != nil {
		return err
	}
	for name, data := range first {
		s.known[name], s.backed[name] = data, true
	}
	if len(rest) == 0 {
		return nil
	}
	if err := report.WriteSet(s.dir, rest); err != nil {
		return err
	}
	for _, f := range rest {
		s.known[f.Name] = f.Data
	}
	return nil
}

// removeOthers takes away tables that the document no longer has, after an
// import; what stood there when the session began stays as name.bak.
func (s *saver) removeOthers(files map[string][]byte) error {
	for name := range s.known {
		if _, kept := files[name]; kept {
			continue
		}
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
