package contract

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// longSong has so many bars of a length in seconds, and losses of so many dB by time.
func longSong(bars int, length float64, losses map[float64]float64) (*Lanes, *Result) {
	l, r := &Lanes{Seconds: float64(bars) * length, HasBars: true}, &Result{Heard: &Heard{}, Bars: bars}
	for i := range bars {
		l.Bars = append(l.Bars, BarLine{Bar: i + 1, AtS: float64(i) * length})
	}
	r.Heard.Course = HeardCourse{StepS: 0.1, DB: make([]float64, 10*bars*int(length))}
	for at, db := range losses {
		r.Heard.Order = append(r.Heard.Order, len(r.Losses))
		r.Losses = append(r.Losses, Loss{AtS: at, HeardOne: &HeardOne{HeardDB: &db}})
		r.Heard.Course.DB[int(at*10)+1] = db
	}
	return l, r
}

func barsOf(list []Scene) (all [][2]int) {
	for _, s := range list {
		all = append(all, [2]int{s.FirstBar, s.LastBar})
	}
	return all
}

// Bars of 2 s. A plain loss in bar 1 has no bar before it; those in bars 10 and 12 share a
// picture that begins in bar 9; the one in bar 13 goes on from there. One of 2.9 dB is not
// plain, nor is a wrong pitch, which no voice cures.
func TestScenes(t *testing.T) {
	l, r := longSong(40, 2, map[float64]float64{0: 3, 18.5: 10, 22: 4, 24: 3.1, 50: 2.9, 60: 9})
	wrong := FlagWrongPitch
	for i := range r.Losses {
		if r.Losses[i].AtS == 60 {
			r.Losses[i].Flag = &wrong
			r.Heard.Course.DB[601] = 0
		}
	}
	s := l.Scenes(r)
	require.Equal(t, [][2]int{{1, 1}, {9, 12}, {13, 13}}, barsOf(s.List))
	require.Equal(t, []int{1, 10, 12, 13}, s.Plain)
	require.Equal(t, Window{16, 24}, s.List[1].Window)
	require.InDelta(t, 0.1*(9+3), s.List[1].DBS, 1e-9, "10 dB and 4 dB, each for a step of 0.1 s, less 1 dB")
	require.Equal(t, &s.List[1], s.Most())
	require.Empty(t, s.Left)
	only := s.Only(s.Most())
	require.Equal(t, [][2]int{{9, 12}}, barsOf(only.List))
	require.Equal(t, [][2]int{{1, 1}, {13, 13}}, barsOf(only.Left))

	// Several losses together are plain for 0.2 s, which counts, or for 0.1 s, which does not.
	r.Heard.Course.DB[700], r.Heard.Course.DB[760], r.Heard.Course.DB[761] = 3, 3, 3
	require.Equal(t, []int{1, 10, 12, 13, 39}, l.Scenes(r).Plain)
	require.Equal(t, []int{0, 1}, []int{s.Together, l.Scenes(r).Together})

	// Bars of 5 s: three are 15 s, more than a picture has, so that two stand in one.
	l, r = longSong(40, 5, map[float64]float64{100: 5, 105: 5, 110: 5, 115: 5})
	require.Equal(t, [][2]int{{20, 21}, {22, 23}, {24, 24}}, barsOf(l.Scenes(r).List))
}

// One picture has 16 bars, or nothing is known of what is heard: there are no scenes.
func TestNoScenes(t *testing.T) {
	l, r := longSong(16, 2, map[float64]float64{4: 5})
	require.Nil(t, l.Scenes(r))
	l, r = longSong(17, 2, map[float64]float64{4: 5})
	require.Equal(t, [][2]int{{2, 3}}, barsOf(l.Scenes(r).List))
	r.Heard = nil
	require.Nil(t, l.Scenes(r))
	l, r = longSong(17, 2, nil)
	require.Equal(t, &Scenes{Bars: 17}, l.Scenes(r))
	require.Nil(t, l.Scenes(r).Most())
}

// Of many the twelve are drawn that are heard most, in the order of the song: every fifth
// bar loses something, the later the more.
func TestMostScenes(t *testing.T) {
	losses := map[float64]float64{}
	for i := range 20 {
		losses[float64(10*i)+4] = 3 + 0.1*float64(i)
	}
	l, r := longSong(100, 2, losses)
	s := l.Scenes(r)
	require.Len(t, s.List, 12)
	require.Len(t, s.Left, 8)
	for i := range s.List {
		require.Equal(t, 5*(i+8)+2, s.List[i].FirstBar)
	}
	require.Equal(t, [2]int{2, 3}, barsOf(s.Left)[0])
	require.Equal(t, &s.List[11], s.Most())
}
