package page

import (
	"bytes"
	"html"
	"io/fs"
	"net/http"
	"time"

	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles/pattern"
)

// termed is an attribute that names a word of the vocabulary.
var termed = pattern.Of(`data-term="([^"]*)"`)

// explained gives what names a word of the vocabulary its meaning: for the pointer,
// and for screen readers and the keyboard. A word that is none is a bug.
func explained(page []byte) []byte {
	return termed().ReplaceAllFunc(page, func(found []byte) []byte {
		name := string(termed().FindSubmatch(found)[1])
		means, ok := say.Meaning(name)
		if !ok {
			panic("bug: the page names " + name + ", which is no word of the vocabulary")
		}
		means = html.EscapeString(means)
		return []byte(`data-term="` + name + `" title="` + means + `" aria-description="` + means + `"`)
	})
}

// mustRead reads a file that is built in.
func mustRead(files fs.FS, name string) []byte {
	data, err := fs.ReadFile(files, name)
	if err != nil {
		panic("bug: " + err.Error())
	}
	return data
}

// showIndex answers with the page itself.
func showIndex(page []byte) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		http.ServeContent(w, r, "index.html", time.Time{}, bytes.NewReader(page))
	}
}
