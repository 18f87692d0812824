package page

import (
	"net/http"
	"sync"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// surveys are what songs do on their channels, which no rig changes.
type surveys struct {
	mu  sync.Mutex
	all map[*midi.Song]*contract.Channels
}

// of surveys a song, or finds it surveyed. Songs that are on the desk no longer are forgotten.
func (s *surveys) of(song Song, onDesk []Song) (*contract.Channels, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if c := s.all[song.MIDI]; c != nil {
		return c, nil
	}
	proposal, err := plan.Propose(song.MIDI, profiles.StarterOptions{})
	if err != nil {
		return nil, err
	}
	kept := map[*midi.Song]*contract.Channels{song.MIDI: contract.NewChannels(song.Name, proposal)}
	for _, other := range onDesk {
		if c := s.all[other.MIDI]; c != nil {
			kept[other.MIDI] = c
		}
	}
	s.all = kept
	return kept[song.MIDI], nil
}

// bench lays a song beside the parts that play it, and what they play on; without a song these alone.
func (s *server) bench(w http.ResponseWriter, r *http.Request) error {
	q, p, o, song, err := s.ask(w, r, false)
	if err != nil {
		return err
	}
	if song.MIDI == nil && q.Song != "" {
		return noSong(q.Song)
	}
	var (
		channels *contract.Channels
		result   *contract.Result
	)
	if song.MIDI != nil {
		if channels, err = s.surveys.of(song, s.desk.all()); err != nil {
			return err
		}
		x, err := s.perform(r.Context(), p, o, song, false)
		if err != nil {
			return err
		}
		result = &x.result.Result
	}
	b := contract.NewBench(p, channels, result)
	for _, other := range s.desk.all() {
		if other.Proposes != nil && other.ID != song.ID {
			b.Proposed(other.Proposes)
		}
	}
	return send(w, say.Bench(b, p.Rig))
}
