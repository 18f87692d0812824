package page

import (
	"bytes"
	"io"
	"net/http"
	"slices"

	"choirloft/cmd/choirloft/internal/report"
	"choirloft/cmd/choirloft/internal/text"
)

// kind is a kind of file that the page offers.
type kind struct {
	fileView
	media string
	write func(io.Writer, *paperwork) error
}

// paperwork is what files are made from.
type paperwork struct {
	m *report.Map
}

// kinds are the files that there are, by their names' endings.
var kinds = []kind{
	{fileView{"map.csv", "Channel map, CSV", false}, "text/csv; charset=utf-8",
		func(w io.Writer, p *paperwork) error { return text.MapCSV(w, p.m, text.Options{}) }},
	{fileView{"map.md", "Channel map, Markdown", false}, "text/markdown; charset=utf-8",
		func(w io.Writer, p *paperwork) error { return text.MapMarkdown(w, p.m, text.Options{}) }},
	{fileView{"map.txt", "Channel map, text", false}, "text/plain; charset=utf-8",
		func(w io.Writer, p *paperwork) error { return text.Map(w, p.m, text.Options{Width: 96}) }},
}

func fileKinds() []fileView {
	list := make([]fileView, len(kinds))
	for i, k := range kinds {
		list[i] = k.fileView
	}
	return list
}

// file answers with a file as the command writes it.
func (s *server) file(w http.ResponseWriter, r *http.Request) error {
	q, p, _, _, err := s.ask(w, r, false)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(kinds, func(k kind) bool { return k.Kind == q.Kind })
	if at < 0 {
		return &refusal{http.StatusNotFound, "no file of kind " + q.Kind, ""}
	}
	var data bytes.Buffer
	if err := kinds[at].write(&data, &paperwork{m: report.NewMap(p)}); err != nil {
		return err
	}
	w.Header().Set("Content-Type", kinds[at].media)
	_, err = w.Write(data.Bytes())
	return err
}
