package live

import (
	"encoding/binary"
	"errors"
	"io"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/smf"

	"choirloft/midi"
)

// disk is a file in memory that keeps every write, and refuses from one on.
type disk struct {
	data   []byte
	writes []written
	refuse int // how many writes it takes; 0 for all
}

type written struct {
	at   int64
	data []byte
}

func (d *disk) WriteAt(data []byte, at int64) (int, error) {
	if d.refuse > 0 && len(d.writes) >= d.refuse {
		return 0, errors.New("full")
	}
	d.writes = append(d.writes, written{at, slices.Clone(data)})
	if end := int(at) + len(data); end > len(d.data) {
		d.data = append(d.data, make([]byte, end-len(d.data))...)
	}
	return copy(d.data[at:], data), nil
}

// after is the file as a program leaves it that ends after n writes, the last of
// them cut short by so many bytes.
func (d *disk) after(n, cut int) []byte {
	var then disk
	for i, w := range d.writes[:n] {
		if i == n-1 {
			w.data = w.data[:max(0, len(w.data)-cut)]
		}
		then.WriteAt(w.data, w.at)
	}
	return then.data
}

// logged plays events on two inputs, with a silence longer than a delta time can
// say (268.4 s of microseconds), and appends the log after each few. It returns how
// many events the log had after each of its writes.
func logged(t *testing.T) (d *disk, events []int, s *Session) {
	s, _ = session(t, planOf(t, "banks: {K: {voices: 4}}\n"), Options{Inputs: 2, Events: 1 << 20})
	d = &disk{}
	log, err := s.NewLogFile(d)
	require.NoError(t, err)
	events = append(events, 0)
	at := time.Duration(0)
	room := make([]byte, 0, 64)
	for i := range 60 {
		at += time.Duration(1+i%7*i%11*37) * ms
		if i == 31 {
			at += 1000 * time.Second
		}
		s.Receive(i/3%2, []byte{0x90, byte(40 + i), 100, 0xC1, byte(i), 0x80, byte(40 + i), 64}, at)
		if i%4 == 3 {
			said := s.Logged(room)
			require.NoError(t, log.Append(said))
			room = said
			for len(events) < len(d.writes) {
				events = append(events, 3*(i+1))
			}
		}
	}
	return d, events, s
}

// TestLogIsWholeAtAnyMoment ends the program between any two writes, and within
// each of them: what was appended before the last of them is in the file, in order.
func TestLogIsWholeAtAnyMoment(t *testing.T) {
	d, events, s := logged(t)
	s.Stop(s.Now())
	whole, err := midi.Read(d.data, midi.Options{})
	require.NoError(t, err)
	require.Empty(t, whole.Warnings)
	require.Len(t, whole.Events, 180)
	for n := 1; n <= len(d.writes); n++ {
		had := 0
		if n > 3 {
			had = events[n-4] // of the append before, which is three writes
		}
		for cut := range len(d.writes[n-1].data) + 1 {
			data := d.after(n, cut)
			if n == 1 && cut > 0 {
				break // there is no file yet
			}
			song, err := midi.Read(data, midi.Options{})
			require.NoError(t, err)
			require.GreaterOrEqual(t, len(song.Events), had, "write %d, cut by %d", n, cut)
			for i := range song.Events[:had] {
				require.Equal(t, whole.Events[i], song.Events[i])
			}
		}
	}
}

// A second reader, gomidi v2.3.24, finds the same events at the same ticks.
func TestLogIsReadByOthers(t *testing.T) {
	d, _, _ := logged(t)
	song, err := midi.Read(d.data, midi.Options{})
	require.NoError(t, err)
	file, err := smf.ReadFrom(&reader{data: d.data})
	require.NoError(t, err)
	require.Len(t, file.Tracks, 1)
	var at midi.Tick
	port, n := uint8(0), 0
	for _, e := range file.Tracks[0] {
		at += midi.Tick(e.Delta)
		e.Message.GetMetaPort(&port)
		if e.Message.IsPlayable() {
			want := song.Events[n]
			require.Equal(t, []any{want.Tick, uint8(want.Port), want.Status, want.Data1}, []any{at, port, e.Message[0], e.Message[1]})
			n++
		}
	}
	require.Len(t, song.Events, n)
	require.Equal(t, uint32(len(d.data)-trackAt), binary.BigEndian.Uint32(d.data[lengthAt:]))
}

type reader struct{ data []byte }

func (r *reader) Read(b []byte) (int, error) {
	if len(r.data) == 0 {
		return 0, io.EOF
	}
	n := copy(b, r.data)
	r.data = r.data[n:]
	return n, nil
}

// TestLogWhereThereIsNoRoom: what a disk refuses is appended again, whichever of
// the three writes it refused.
func TestLogWhereThereIsNoRoom(t *testing.T) {
	for refuse := 1; refuse <= 4; refuse++ {
		s, _ := session(t, planOf(t, "banks: {K: {voices: 4}}\n"), Options{Events: 1 << 20})
		d := &disk{}
		log, err := s.NewLogFile(d)
		require.NoError(t, err)
		s.Receive(0, []byte{0x90, 60, 100}, 10*ms)
		said := s.Logged(nil)
		d.refuse = refuse
		err = log.Append(said)
		if refuse < 4 {
			require.EqualError(t, err, "full")
		}
		d.refuse = 0
		if err != nil {
			require.NoError(t, log.Append(said))
		}
		s.Receive(0, []byte{0x80, 60, 64}, 20*ms)
		require.NoError(t, log.Append(s.Logged(nil)))
		song, err := midi.Read(d.data, midi.Options{})
		require.NoError(t, err)
		require.Empty(t, song.Warnings)
		require.Len(t, song.Events, 2)
	}
}

// TestLogAllocatesNothing: an event with its log costs no memory while the log is
// fetched now and then.
func TestLogAllocatesNothing(t *testing.T) {
	s, _ := session(t, planOf(t, "banks: {K: {voices: 3}}\n"), Options{Events: 1 << 30})
	reads, at := chord(), time.Duration(0)
	room := make([]byte, 0, logRoom)
	play := func() {
		for _, r := range reads {
			at += 2 * ms
			s.Receive(0, r, at)
			s.Send(func(int, []byte) {})
		}
		room = s.Logged(room)
	}
	for range 200 {
		play()
	}
	require.Zero(t, testing.AllocsPerRun(100, play))
}
