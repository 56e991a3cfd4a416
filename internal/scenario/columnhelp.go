package scenario

// Meaning is the column's line of explanation with choices and range.
func (c *Column) Meaning() string { return c.meaning() }

// BlankMeans says what a blank cell stands for.
func (c *Column) BlankMeans() string { return c.blankText() }
