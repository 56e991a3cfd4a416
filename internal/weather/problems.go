package weather

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"sort"
	"strings"
)

// maxProblems is how many faults of a file are told one by one.
const maxProblems = 20

// problems collects the faults of a file, so that all are told at once.
type problems struct {
	name  string
	found []problem
	count int
}

type problem struct {
	line int
	text string
}

func (p *problems) add(line int, column, format string, a ...any) {
	p.count++
	if len(p.found) >= 10*maxProblems {
		return
	}
	where := fmt.Sprintf("%s:%d: ", p.name, line)
	if line <= 0 {
		where = p.name + ": "
	}
	if column != "" {
		where += column + ": "
	}
	p.found = append(p.found, problem{line, where + fmt.Sprintf(format, a...)})
}

// next reads the next row and its line; false at the end of the file, or where
// it cannot be read on.
func (p *problems) next(r *csv.Reader) (fields []string, line int, ok bool) {
	fields, err := r.Read()
	if err != nil {
		if !errors.Is(err, io.EOF) {
			p.add(0, "", "not readable as comma-separated text: %v", err)
		}
		return nil, 0, false
	}
	line, _ = r.FieldPos(0)
	return fields, line, true
}

// err is nil without faults; otherwise it lists them in the order of the file.
func (p *problems) err() error {
	if p.count == 0 {
		return nil
	}
	sort.SliceStable(p.found, func(i, j int) bool { return p.found[i].line < p.found[j].line })
	shown := p.found[:min(len(p.found), maxProblems)]
	lines := make([]string, 0, len(shown)+1)
	for _, f := range shown {
		lines = append(lines, f.text)
	}
	if more := p.count - len(shown); more > 0 {
		lines = append(lines, fmt.Sprintf("%s: and %d more like these", p.name, more))
	}
	return fmt.Errorf("%s", strings.Join(lines, "\n"))
}
