package page

import (
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// BenchmarkChange answers a change of a song of 10 000 notes on 64 voices, and on 12,
// which lose many: what is set, the map, and the picture with all that is heard. It reports
// how many times the processor time of the same replay that takes, text included: what to hold is 4. By
// the clock it is 100 ms on a quiet machine, of which the browser needs its part too: of these
// soon-ms are until the page has what became of the notes, of the quickest turn.
func BenchmarkChange(b *testing.B) {
	desk := manyOn(b, 10_000)
	song := desk.songs[0].MIDI
	for _, voices := range []string{"64", "12"} {
		b.Run("voices="+voices, func(b *testing.B) {
			var replays, answers time.Duration
			soonest := time.Hour
			for b.Loop() {
				begun := processor(b)
				require.NoError(b, replayOf(desk, song, voices))
				between := processor(b)
				handler := New(desk, Door{Hosts: []string{"here"}}) // one that remembers nothing
				for _, path := range []string{"set", "map", "picture"} {
					r := httptest.NewRequest(http.MethodPost, "http://here/api/"+path, strings.NewReader(`{"song": "1", "set": [{"kind": "voices", "part": "", "value": "`+voices+`"}]}`))
					w := httptest.NewRecorder()
					handler.ServeHTTP(w, r)
					if w.Code != http.StatusOK {
						b.Fatal(w.Body.String())
					}
				}
				replays, answers = replays+between-begun, answers+processor(b)-between
				handler = New(desk, Door{Hosts: []string{"here"}})
				at := time.Now()
				for _, path := range []string{"set", "map", "picture"} {
					answersTo(b, handler, path, voices, true)
				}
				soonest = min(soonest, time.Since(at))
				answersTo(b, handler, "picture", voices, false) // nobody listens on meanwhile
			}
			b.ReportMetric(float64(soonest.Microseconds())/1000, "soon-ms")
			b.ReportMetric(float64(answers)/float64(replays), "times-replay")
			b.ReportMetric(float64(answers.Microseconds())/1000/float64(b.N), "cpu-ms/op")
		})
	}
}

// replayOf does what the command does between its files.
func replayOf(desk *Desk, song *midi.Song, voices string) error {
	p, err := plan.Build(desk.rig, plan.MustParse("--voices", voices))
	if err != nil {
		return err
	}
	played, err := p.Replay(song)
	if err != nil {
		return err
	}
	result := contract.NewResult(p, "many.mid", song, played)
	if err := result.Listen(p, song, played); err != nil {
		return err
	}
	replay := contract.NewReplay(p, result)
	say.Fill(replay)
	return doc.Text(io.Discard, say.Replay(replay, say.Screen), doc.TextOptions{Width: 80})
}

// processor is the processor time so far.
func processor(b *testing.B) time.Duration {
	var u syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
