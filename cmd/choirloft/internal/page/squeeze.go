package page

import (
	"compress/gzip"
	"net/http"
	"strings"
)

// leastSqueezed is from how many bytes in one piece on an answer is compressed.
const leastSqueezed = 4 << 10

// squeeze compresses large answers for those who take them so. None of them holds the token: what is
// secret must not stand beside what others may have chosen, since the length would tell of it.
func squeeze(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Add("Vary", "Accept-Encoding")
		if !takesGzip(r.Header.Get("Accept-Encoding")) || r.Header.Get("Range") != "" {
			next.ServeHTTP(w, r)
			return
		}
		s := &squeezed{ResponseWriter: w}
		defer s.close()
		next.ServeHTTP(s, r)
	})
}

// takesGzip tells whether gzip is among what is accepted (RFC 9110, 12.5.3).
func takesGzip(accepted string) bool {
	takes := false
	for one := range strings.SplitSeq(accepted, ",") {
		name, weight, _ := strings.Cut(one, ";")
		name = strings.ToLower(strings.TrimSpace(name))
		_, q, weighs := strings.Cut(weight, "=")
		yes := !weighs || strings.Trim(q, "0. ") != ""
		if name == "gzip" {
			return yes
		}
		takes = takes || name == "*" && yes
	}
	return takes
}

// squeezed is an answer that is compressed if its first piece is large, and of a kind that gets smaller.
type squeezed struct {
	http.ResponseWriter
	began bool
	zip   *gzip.Writer // nil where it goes as it is
	code  int
}

// Unwrap lets those who flush, or set times, reach what is below.
func (s *squeezed) Unwrap() http.ResponseWriter { return s.ResponseWriter }

func (s *squeezed) WriteHeader(code int) { s.code = code } // goes with the first piece

func (s *squeezed) Write(data []byte) (int, error) {
	s.begin(len(data))
	if s.zip == nil {
		return s.ResponseWriter.Write(data)
	}
	return s.zip.Write(data)
}

// begin sends the head, once it is known how large the first piece is.
func (s *squeezed) begin(size int) {
	if s.began {
		return
	}
	s.began = true
	h := s.Header()
	kind, _, _ := strings.Cut(h.Get("Content-Type"), ";")
	if size >= leastSqueezed && (s.code == 0 || s.code == http.StatusOK) && shrinks(kind) {
		h.Set("Content-Encoding", "gzip")
		h.Del("Content-Length")
		s.zip, _ = gzip.NewWriterLevel(s.ResponseWriter, gzip.BestSpeed) // which is a level
	}
	if s.code > 0 {
		s.ResponseWriter.WriteHeader(s.code)
	}
}

// shrinks tells whether a kind of answer gets smaller: not pictures and papers that are compressed already.
func shrinks(kind string) bool {
	switch kind {
	case "application/json", "application/octet-stream", "image/svg+xml", "text/javascript", "text/css", "text/html", "text/csv", "text/markdown", "audio/midi":
		return true
	}
	return false
}

func (s *squeezed) close() {
	s.begin(0)
	if s.zip != nil {
		s.zip.Close()
	}
}
