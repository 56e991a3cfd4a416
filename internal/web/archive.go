package web

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
	"time"

	"tripsim/internal/scenario"
)

// Limits of an archive that is taken in.
const (
	maxArchive  = 8 << 20  // bytes, packed
	maxUnpacked = 16 << 20 // bytes, all tables together
	maxEntries  = 200
)

// zipTime stands in every archive, so that equal tables give equal bytes.
var zipTime = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// pack makes an archive of the tables in a folder of the scenario's name.
func pack(folder string, files map[string][]byte) ([]byte, error) {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, spec := range scenario.Specs() {
		data, ok := files[spec.File]
		if !ok {
			continue
		}
		f, err := w.CreateHeader(&zip.FileHeader{Name: folder + "/" + spec.File, Method: zip.Deflate, Modified: zipTime})
		if err != nil {
			return nil, err
		}
		if _, err := f.Write(data); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// unpack takes the tables out of an archive, wherever in it they lie; names
// only tell which table a file is and never reach the file system. folder is
// the name of the folder that holds them, if there is one. Archives that are
// larger unpacked than any scenario, or hold a table twice, are refused.
func unpack(data []byte) (files map[string][]byte, folder string, err error) {
	if len(data) > maxArchive {
		return nil, "", fmt.Errorf("the archive is larger than %d MiB; a scenario is far smaller", maxArchive>>20)
	}
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, "", errors.New("this is not a zip archive; use one that the export made, or zip the folder of tables")
	}
	if len(r.File) > maxEntries {
		return nil, "", fmt.Errorf("the archive holds %d files; a scenario has six", len(r.File))
	}
	files = map[string][]byte{}
	left := int64(maxUnpacked)
	for _, f := range r.File {
		name := strings.ReplaceAll(f.Name, `\`, "/")
		base := path.Base(name)
		if !isTable(base) || strings.HasPrefix(name, "__") || !f.Mode().IsRegular() {
			continue
		}
		if _, twice := files[base]; twice {
			return nil, "", fmt.Errorf("the archive holds %s twice; keep one scenario per archive", base)
		}
		content, err := readEntry(f, left)
		if err != nil {
			return nil, "", err
		}
		left -= int64(len(content))
		files[base] = content
		if dir := path.Base(path.Dir(name)); dir != "." && dir != "/" && dir != ".." {
			folder = dir
		}
	}
	if len(files) == 0 {
		return nil, "", errors.New("the archive holds no table of a scenario; it needs trip.csv, loads.csv and systems.csv")
	}
	return files, folder, nil
}

// readEntry unpacks one file, up to the bytes that are left; what the archive
// claims about its size counts for nothing.
func readEntry(f *zip.File, left int64) ([]byte, error) {
	rc, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("%s cannot be unpacked: %w", path.Base(f.Name), err)
	}
	defer rc.Close()
	content, err := io.ReadAll(io.LimitReader(rc, left+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s cannot be unpacked: %w", path.Base(f.Name), err)
	case int64(len(content)) > left:
		return nil, fmt.Errorf("the archive is larger than %d MiB unpacked; a scenario is far smaller", maxUnpacked>>20)
	}
	return content, nil
}

func isTable(name string) bool {
	for _, spec := range scenario.Specs() {
		if spec.File == name {
			return true
		}
	}
	return false
}
