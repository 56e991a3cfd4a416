package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// number matches the coordinates, which may differ in their last digits from
// one processor to the next.
var number = regexp.MustCompile(`-?\d+(\.\d+)?`)

// outline is a picture without its coordinates and its font: the elements and
// the words.
func outline(svg []byte) string {
	text := regexp.MustCompile(`(?s)<style.*?</style>`).ReplaceAllString(string(svg), "")
	text = regexp.MustCompile(` (d|points|transform|x|y|x1|y1|x2|y2|width|height|r|cx|cy)="[^"]*"`).ReplaceAllString(text, "")
	return number.ReplaceAllStringFunc(text, func(n string) string {
		if strings.Contains(n, ".") {
			return "n"
		}
		return n
	})
}

// The pictures in this folder are those that the commands make today. When this
// fails, look at what changed and run: go run ./plots
func TestPicturesAreFresh(t *testing.T) {
	if testing.Short() {
		t.Skip("runs every command")
	}
	fresh := t.TempDir()
	require.NoError(t, refresh("..", fresh))
	for _, s := range shots {
		want, err := os.ReadFile(filepath.Join(fresh, s.name))
		require.NoError(t, err)
		have, err := os.ReadFile(s.name)
		require.NoError(t, err, "run: go run ./plots")
		if outline(want) != outline(have) {
			assert.Fail(t, "stale picture", "%s; run: go run ./plots", s.name)
		}
	}
}

// README shows pictures of this folder only, and every one that it shows is
// made here.
func TestReadmeShowsPicturesThatAreMadeHere(t *testing.T) {
	readme, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	made := map[string]bool{}
	for _, s := range shots {
		made["plots/"+s.name] = true
	}
	shown := regexp.MustCompile(`!\[[^\]]+\]\(([^)]+)\)`).FindAllStringSubmatch(string(readme), -1)
	require.NotEmpty(t, shown)
	for _, m := range shown {
		assert.True(t, made[m[1]], "%s", m[1])
	}
}
