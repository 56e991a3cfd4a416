package report

// Files are the run's tables and its machine-readable form, ready for WriteSet:
// days.csv, hours.csv and result.json.
func (run *Run) Files() ([]File, error) {
	doc, err := run.JSON()
	if err != nil {
		return nil, err
	}
	return []File{
		{"days.csv", run.Days(DefaultFormat()).CSV()},
		{"hours.csv", Hours(run.detailed()).CSV()},
		{"result.json", doc},
	}, nil
}

// Days is the account by day of every system, as the files hold it.
func (run *Run) Days(f Format) *Table { return DaysOf(run.detailed(), run.Risks, f) }

// FileColumns documents the columns of the CSV files, by file name.
func FileColumns() []FileDoc {
	return []FileDoc{{"days.csv", textDaysFile, dayColumns(nil, nil, DefaultFormat())}, {"hours.csv", textHoursFile, hourColumns()}}
}

// FileDoc describes a CSV file that the program writes.
type FileDoc struct {
	Name    string
	About   string
	Columns []Column
}

// Table lists the columns of the file.
func (d FileDoc) Table() *Table {
	t := &Table{Title: d.Name + ": " + d.About, Columns: []Column{
		{Key: "column", Head: "column"}, {Key: "meaning", Head: "meaning", Wrap: true},
	}}
	for _, c := range d.Columns {
		t.Rows = append(t.Rows, Row{Cells: []Cell{Text(c.Key), Text(c.Doc)}})
	}
	return t
}
