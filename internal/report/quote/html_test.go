package quote

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"tripsim/internal/report"
)

// holds checks that a long text holds a short one, and does not print the long
// one when it does not.
func holds(t *testing.T, text, want string) {
	t.Helper()
	assert.True(t, strings.Contains(text, want), "%q is not in the document", want)
}

// nodes lists all nodes of a page.
func nodes(t *testing.T, page []byte) []*html.Node {
	root, err := html.Parse(bytes.NewReader(page))
	require.NoError(t, err)
	var out []*html.Node
	for n := range root.Descendants() {
		out = append(out, n)
	}
	return out
}

// htmlText is what a reader sees of a page, without scripts and styles; places
// for breaks leave no trace in it.
func htmlText(t *testing.T, page []byte) string {
	var b strings.Builder
	for _, n := range nodes(t, page) {
		switch {
		case n.Type == html.TextNode && n.Parent.Data != "style":
			b.WriteString(n.Data)
		case n.Type == html.ElementNode && slices.Contains([]string{"p", "td", "th", "li", "dd", "dt", "h1", "h2", "h3", "text", "caption"}, n.Data):
			b.WriteString("\n")
		}
	}
	return b.String()
}

func attribute(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

func TestPageFetchesNothing(t *testing.T) {
	in := holding(t)
	in.Job.Logo = plainLogo(t)
	page, err := build(t, in).HTML()
	require.NoError(t, err)
	policy := ""
	for _, n := range nodes(t, page) {
		if n.Type != html.ElementNode {
			continue
		}
		assert.NotContains(t, []string{"script", "link", "iframe", "object", "embed", "base", "form", "video", "audio"}, n.Data)
		for _, a := range n.Attr {
			assert.False(t, strings.HasPrefix(a.Key, "on"), a.Key)
			switch a.Key {
			case "src":
				assert.True(t, strings.HasPrefix(a.Val, "data:image/png;base64,"), "src")
			case "href":
				assert.True(t, strings.HasPrefix(a.Val, "#"), a.Val)
			case "xmlns":
			case "content":
				policy += a.Val
			default:
				assert.NotContains(t, a.Val, "://", a.Key)
			}
		}
	}
	assert.Contains(t, policy, "default-src 'none'")
	for _, part := range strings.Split(string(page), "url(")[1:] {
		assert.True(t, strings.HasPrefix(part, "data:font/ttf;base64,"), "url(%.30s", part)
	}
	assert.NotContains(t, strings.ReplaceAll(string(page), `xmlns="http://www.w3.org/2000/svg"`, ""), "http:")
	assert.NotContains(t, string(page), "https:")
	assert.NotContains(t, string(page), "@import")
}

// Structure after W3C, Web Content Accessibility Guidelines 2.1 (2018), criteria
// 1.1.1 (alternatives of pictures), 1.3.1 (heads of tables) and 4.1.1 (ids).
func TestPageCanBeReadWithoutSeeingIt(t *testing.T) {
	page, err := build(t, holding(t)).HTML()
	require.NoError(t, err)
	ids := map[string]bool{}
	count := map[string]int{}
	for _, n := range nodes(t, page) {
		if n.Type != html.ElementNode {
			continue
		}
		count[n.Data]++
		if id, ok := attribute(n, "id"); ok {
			assert.False(t, ids[id], "id %s twice", id)
			ids[id] = true
		}
		switch n.Data {
		case "th":
			_, ok := attribute(n, "scope")
			assert.True(t, ok, "a head without scope")
		case "svg":
			_, label := attribute(n, "aria-label")
			_, labelled := attribute(n, "aria-labelledby")
			assert.True(t, label || labelled, "a picture without words")
		case "html":
			lang, _ := attribute(n, "lang")
			assert.Equal(t, "en", lang)
		}
	}
	for _, n := range nodes(t, page) {
		if href, ok := attribute(n, "href"); ok {
			assert.True(t, ids[strings.TrimPrefix(href, "#")], href)
		}
	}
	assert.Equal(t, 1, count["h1"])
	assert.Equal(t, 12, count["h2"])
	assert.Equal(t, count["table"], count["caption"])
	assert.Equal(t, count["figure"], count["figcaption"])
}

// hostileNames are names that a page, a PDF or a spreadsheet could stumble over.
var hostileNames = []string{
	"<script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "=cmd|' /C calc'!A0", "</style><b>&amp;", "{{.Style}}", "%s %d %!",
	strings.Repeat("Long", 75), strings.Repeat("wide wide ", 30) + "end", "مرحبا 100 (قافلة)", "שלום 200", "旅行システム", "🚐🔋 van", "e\u0301te\u0301 ﬁn",
	"Ünïcödé Ελληνικά Кириллица", `R"; } body{display:none} /* \`, "\u202egnorw\u202c way", "tab\tand\nline",
}

func hostile(t *testing.T) *Input {
	in := invented(t, 6, hostileNames[:10], 60, 200)
	for i := range in.Run.Results[0].Trip.Stops {
		in.Run.Results[0].Trip.Stops[i].Place = hostileNames[(i+7)%len(hostileNames)]
		in.Run.Results[0].Trip.Stops[i].Note = hostileNames[i]
	}
	for _, r := range in.Run.Results {
		for i := range r.Days {
			r.Days[i].Place = hostileNames[(i+7)%len(hostileNames)]
		}
		for i := range r.Loads {
			r.Loads[i].Name = hostileNames[i]
		}
	}
	for i := range in.Loads {
		in.Loads[i].Name = hostileNames[i]
	}
	in.Run.Title = hostileNames[3]
	in.Run.Currency = hostileNames[1]
	in.Job = Job{
		Business: hostileNames[8], Contact: hostileNames[0], Customer: hostileNames[10], Reference: hostileNames[14],
		PreparedBy: hostileNames[15], Notes: hostileNames[7],
	}
	return in
}

func TestHostileNamesStandInThePageAsTheyWereWritten(t *testing.T) {
	page, err := build(t, hostile(t)).HTML()
	require.NoError(t, err)
	text := htmlText(t, page)
	for _, name := range hostileNames[:10] {
		holds(t, text, report.Clean(name))
	}
	for _, n := range nodes(t, page) {
		if n.Type == html.ElementNode {
			assert.NotEqual(t, "script", n.Data)
			assert.NotEqual(t, "img", n.Data)
			for _, a := range n.Attr {
				assert.False(t, strings.HasPrefix(a.Key, "on"), a.Key)
			}
		}
	}
	assert.NotContains(t, text, "ZgotmplZ")
	assert.Equal(t, 1, strings.Count(string(page), "</style>\n</head>"))
	assert.NotContains(t, string(page), "\u202e")
	for _, n := range nodes(t, page) { // every name keeps its direction to itself
		if n.Type == html.TextNode && strings.Contains(n.Data, "שלום") && n.Parent.Data != "text" && n.Parent.Data != "desc" && n.Parent.Data != "title" {
			assert.Equal(t, "bdi", n.Parent.Data)
		}
	}
}

func TestRecommendedSystemIsMarkedByAWord(t *testing.T) {
	page, err := build(t, holding(t)).HTML()
	require.NoError(t, err)
	found := false
	for _, n := range nodes(t, page) {
		if class, _ := attribute(n, "class"); class == "badge" {
			found = true
			assert.Equal(t, "Recommended", n.FirstChild.Data)
			assert.Equal(t, "th", n.Parent.Data)
		}
	}
	assert.True(t, found)
}

func TestPiecesOfALongWordMakeTheWordAgain(t *testing.T) {
	for _, name := range hostileNames {
		pieces := Span{S: name}.Pieces()
		assert.Equal(t, name, strings.Join(pieces, ""))
		for _, p := range pieces {
			for _, word := range strings.Split(p, " ") {
				assert.LessOrEqual(t, len([]rune(word)), 24+4)
			}
		}
	}
}

func TestStringsOfTheStyleSheetCannotEnd(t *testing.T) {
	for _, s := range hostileNames {
		got := string(cssString(s))
		inner := strings.TrimSuffix(strings.TrimPrefix(got, `"`), `"`)
		assert.Equal(t, `"`+inner+`"`, got)
		assert.NotContains(t, inner, `"`)
		assert.NotContains(t, inner, "<")
		assert.NotContains(t, inner, "\n")
	}
}
