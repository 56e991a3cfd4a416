package main

import (
	"fmt"
	"io"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"tripsim/internal/report/quote"
	"tripsim/internal/scenario"
)

// documentDate is the date that a document bears: as asked for, else of
// SOURCE_DATE_EPOCH, else today.
func documentDate(asked string) (time.Time, error) {
	if asked != "" {
		t, err := time.Parse(time.DateOnly, strings.TrimSpace(asked))
		if err != nil {
			return t, usage("quote", "--date: %q is not a date; use e.g. 2026-05-31", clean(asked))
		}
		return t, nil
	}
	if epoch := os.Getenv("SOURCE_DATE_EPOCH"); epoch != "" {
		s, err := strconv.ParseInt(epoch, 10, 64)
		if err != nil || s < 0 || s > 1<<40 {
			return time.Time{}, usage("quote", "SOURCE_DATE_EPOCH: %q is not a number of seconds since 1970", clean(epoch))
		}
		return time.Unix(s, 0).UTC(), nil
	}
	return time.Now(), nil
}

// jobOf takes over who the document is from and for, with the logo.
func jobOf(sc *scenario.Scenario) (quote.Job, error) {
	j := &sc.Job
	job := quote.Job{
		Business: j.Business, Contact: j.Contact, Customer: j.Customer, Reference: j.Reference,
		PreparedBy: j.PreparedBy, Notes: j.Notes,
	}
	if j.Logo == "" || sc.Dir == "" {
		return job, nil
	}
	data, err := readLogo(sc.Dir, j.Logo)
	if err != nil {
		return job, badInput(fmt.Errorf("job.csv: logo: %s cannot be read: %w; put the file into the scenario folder", clean(j.Logo), err))
	}
	if job.Logo, err = quote.NewLogo(clean(j.Logo), data); err != nil {
		return job, badInput(fmt.Errorf("job.csv: %w", err))
	}
	return job, nil
}

// readLogo reads a file of the scenario folder, up to one byte more than a logo
// may have.
func readLogo(dir, file string) ([]byte, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, reasonOf(err)
	}
	defer root.Close()
	info, err := root.Stat(file)
	if err != nil {
		return nil, reasonOf(err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("it is not a regular file")
	}
	r, err := root.Open(file)
	if err != nil {
		return nil, reasonOf(err)
	}
	defer r.Close()
	return io.ReadAll(io.LimitReader(r, quote.LogoMaxBytes+1))
}

// reasonOf is a file error without the path, which the reader knows.
func reasonOf(err error) error {
	if pe, ok := err.(*fs.PathError); ok {
		return pe.Err
	}
	return err
}

// remake is the command line that makes the document again, from the folder in
// which it was made.
func (f *quoteFlags) remake(sc *scenario.Scenario, date time.Time) string {
	folder := sc.Dir
	if folder == "" {
		folder = sc.Name
	}
	words := []string{program, "quote", folderWord(folder)}
	for _, w := range f.setFlags() {
		words = append(words, shellWord(w))
	}
	if f.date == "" {
		words = append(words, "--date="+date.Format(time.DateOnly))
	}
	return strings.Join(words, " ")
}

// givenFlags lists the flags that change what the document says, as they were
// given.
func givenFlags(fs *pflag.FlagSet) []string {
	var words []string
	fs.Visit(func(fl *pflag.Flag) {
		switch fl.Name {
		case "out", "format", "listen", "write":
			return
		}
		if list, ok := fl.Value.(pflag.SliceValue); ok {
			if fl.Value.Type() == "stringArray" {
				for _, v := range list.GetSlice() {
					words = append(words, "--"+fl.Name+"="+v)
				}
				return
			}
			words = append(words, "--"+fl.Name+"="+strings.Join(list.GetSlice(), ","))
			return
		}
		words = append(words, "--"+fl.Name+"="+fl.Value.String())
	})
	return words
}

// shellWord quotes a word for a shell when it needs it.
func shellWord(s string) string {
	plain := !strings.ContainsFunc(s, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_=./,:+", r))
	})
	if plain && s != "" {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}
