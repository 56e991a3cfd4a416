package main

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestProgressShowsItselfOnlyAfterASecondAndVanishes(t *testing.T) {
	var out, err bytes.Buffer
	c := newConsole(nil, &out, &err)
	tell := c.progress("simulated trips")
	c.bar.since = time.Now().Add(-time.Hour)
	tell(1, 2)
	assert.Empty(t, err.String(), "not a terminal")

	c.bar.show = true
	c.bar.since = time.Now()
	tell(1, 2)
	assert.Empty(t, err.String(), "too early")
	c.bar.since = time.Now().Add(-time.Hour)
	tell(1, 2)
	assert.Contains(t, err.String(), "simulated trips [===============               ]  50 %")
	n := err.Len()
	tell(2, 2)
	assert.Equal(t, n, err.Len(), "not more often than the eye can follow")
	c.bar.last = time.Time{}
	tell(2, 2)
	assert.Contains(t, err.String(), "[==============================] 100 %")
	assert.NoError(t, c.print("answer\n"))
	assert.Equal(t, "answer\n", out.String())
	assert.Regexp(t, "\r\x1b\\[K$", err.String(), "gone before anything else is printed")
	tell(0, 0)
}

func TestSuggestionsAreNear(t *testing.T) {
	known := []string{"run", "check", "completion", "compare", "Weekend 100"}
	assert.Equal(t, "; did you mean run?", didYouMean("rnu", known, ""))
	assert.Equal(t, "; did you mean --check?", didYouMean("che", known, "--"))
	assert.Equal(t, "", didYouMean("comp", known, ""), "two begin like it")
	assert.Equal(t, `; did you mean "Weekend 100"?`, didYouMean("weekend", known, ""))
	assert.Equal(t, "", didYouMean("zzzz", known, ""))
	assert.Equal(t, "", didYouMean("", known, ""))
}
