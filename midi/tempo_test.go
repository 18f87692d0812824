package midi

import (
	"math"
	"math/big"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestDivision(t *testing.T) {
	for word, want := range map[uint16]Division{ // RP-001, "Header Chunks", unless said
		0x0060: {Ticks: 96},
		0x7FFF: {Ticks: 32767},
		0xE250: {Ticks: 80, Rate: 30}, // bit resolution of time code: 30 frames, 80 each
		0xE728: {Ticks: 40, Rate: 25}, // millisecond ticks
		0xE804: {Ticks: 4, Rate: 24},  // quarter frames
		0xE3FF: {Ticks: 255, Rate: 29},
	} {
		got, err := ParseDivision(word)
		require.NoError(t, err)
		require.Equal(t, want, got)
		require.Equal(t, word, got.Word())
		require.Equal(t, want.Rate != 0, got.SMPTE())
	}
	for _, word := range []uint16{0, 0xE200, 0xE650, 0x8001, 0xFF01, 0xE150} {
		_, err := ParseDivision(word)
		require.Error(t, err, "%04X", word)
	}
	require.Equal(t, uint16(500), Division{}.Word())
}

func TestTempoMap(t *testing.T) {
	ms := time.Millisecond
	tempo := func(tick Tick, micros int) TempoChange { return TempoChange{tick, micros} }
	for name, row := range map[string]struct {
		div     Division
		changes []TempoChange
		tick    Tick
		want    time.Duration
	}{
		"RP-001: 6144 ticks of 96 at 500000": {Division{Ticks: 96}, nil, 6144, 32_000 * ms},
		"zero map has ticks of 1 ms":         {Division{}, nil, 7, 7 * ms},
		"RP-001: 25 × 40 is 1 ms":            {Division{Ticks: 40, Rate: 25}, nil, 1234, 1234 * ms},
		"SMPTE has no tempo":                 {Division{Ticks: 40, Rate: 25}, []TempoChange{tempo(0, 1)}, 10, 10 * ms},
		"30 × 80":                            {Division{Ticks: 80, Rate: 30}, nil, 2400, 1000 * ms},
		"24 × 4":                             {Division{Ticks: 4, Rate: 24}, nil, 96, 1000 * ms},
		"29 is 30000/1001 frames a second":   {Division{Ticks: 100, Rate: 29}, nil, 3_000_000, 1_001_000 * ms},
		"change at tick 0":                   {Division{Ticks: 96}, []TempoChange{tempo(0, 250_000)}, 96, 250 * ms},
		"before a change":                    {Division{Ticks: 96}, []TempoChange{tempo(96, 250_000)}, 96, 500 * ms},
		"after a change":                     {Division{Ticks: 96}, []TempoChange{tempo(96, 250_000)}, 192, 750 * ms},
		"the last of a tick counts":          {Division{Ticks: 96}, []TempoChange{tempo(0, 1), tempo(0, 250_000)}, 96, 250 * ms},
		"in any order":                       {Division{Ticks: 96}, []TempoChange{tempo(96, 1_000_000), tempo(0, 250_000)}, 192, 1250 * ms},
		"out of range is left out":           {Division{Ticks: 96}, []TempoChange{tempo(-1, 1), tempo(0, 0), tempo(0, 1<<24)}, 96, 500 * ms},
		"below 0":                            {Division{Ticks: 96}, nil, -5, 0},
		"rounded down: 1/3 ns":               {Division{Ticks: 3000}, []TempoChange{tempo(0, 1)}, 1, 0},
		"halves up: 1/2 ns":                  {Division{Ticks: 2000}, []TempoChange{tempo(0, 1)}, 1, 1},
		"rounded up: 2/3 ns":                 {Division{Ticks: 3000}, []TempoChange{tempo(0, 1)}, 2, 1},
		"too long":                           {Division{Ticks: 1}, []TempoChange{tempo(5, 9)}, math.MaxInt64, math.MaxInt64},
	} {
		t.Run(name, func(t *testing.T) {
			m := NewTempoMap(row.div, row.changes)
			require.Equal(t, row.want, m.At(row.tick))
			require.Equal(t, row.want, m.Cursor().At(row.tick))
		})
	}
	require.Equal(t, 7*ms, TempoMap{}.At(7))
	require.Equal(t, Tick(7), TempoMap{}.Tick(8*ms-1))
	require.Equal(t, 7*ms, TempoMap{}.Cursor().At(7))
	require.Equal(t, Division{Ticks: 500}, TempoMap{}.Division())
}

func TestTempoChangesAreTidy(t *testing.T) {
	given := []TempoChange{{96, 3}, {0, 1}, {96, 2}, {-1, 5}, {5, 0}}
	m := NewTempoMap(Division{Ticks: 96}, given)
	require.Equal(t, []TempoChange{{0, 1}, {96, 2}}, m.Changes())
	require.Equal(t, TempoChange{96, 3}, given[0], "what is given stays as it is")
	m.Changes()[0].Micros = 7
	require.Equal(t, 1, m.Changes()[0].Micros, "what is returned is a copy")
}

// Ten thousand changes of tempo, none of which lasts a whole number of
// nanoseconds, against exact fractions.
func TestTempoDoesNotDrift(t *testing.T) {
	var changes []TempoChange
	for i := range 10_000 {
		changes = append(changes, TempoChange{Tick(11 * i), 333_333 + 7*i})
	}
	m := NewTempoMap(Division{Ticks: 7919}, changes)
	cursor := m.Cursor()
	for i := range Tick(10_000) {
		tick := 11*i + 5
		if i%100 == 99 { // the sum of the reference grows with i
			require.Equal(t, exactTime(7919, changes, tick), m.At(tick))
		}
		require.Equal(t, m.At(tick), cursor.At(tick))
	}
	require.Equal(t, m.At(3), cursor.At(3), "back to the start")
}

// exactTime sums up fractions, and rounds once, halves up.
func exactTime(ticks int64, changes []TempoChange, at Tick) time.Duration {
	sum, from, micros := new(big.Rat), Tick(0), int64(DefaultMicros)
	stretch := func(until Tick) {
		part := new(big.Rat).SetFrac64(micros*1000, ticks)
		sum.Add(sum, part.Mul(part, new(big.Rat).SetInt64(int64(until-from))))
		from = until
	}
	for _, c := range changes {
		if c.Tick > at {
			break
		}
		stretch(c.Tick)
		micros = int64(c.Micros)
	}
	stretch(at)
	sum.Add(sum, big.NewRat(1, 2))
	return time.Duration(new(big.Int).Div(sum.Num(), sum.Denom()).Int64())
}

func drawTempi(t *rapid.T) []TempoChange {
	tempo := rapid.Custom(func(t *rapid.T) TempoChange {
		return TempoChange{
			Tick:   Tick(rapid.Int64Range(1, 5000).Draw(t, "length")),
			Micros: rapid.OneOf(rapid.IntRange(1, 9), rapid.IntRange(1, 0xFFFFFF)).Draw(t, "micros"),
		}
	})
	changes := rapid.SliceOfN(tempo, 0, 20).Draw(t, "changes")
	for i := 1; i < len(changes); i++ {
		changes[i].Tick += changes[i-1].Tick
	}
	return changes
}

func TestTempoLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ticks := rapid.IntRange(1, 32767).Draw(t, "division")
		changes := drawTempi(t)
		m := NewTempoMap(Division{Ticks: ticks}, changes)
		at := Tick(rapid.Int64Range(0, 200_000).Draw(t, "tick"))
		require.Equal(t, exactTime(int64(ticks), changes, at), m.At(at))
		require.Equal(t, m.At(at), m.Cursor().At(at))
		require.LessOrEqual(t, m.At(at), m.At(at+1))

		back := m.Tick(m.At(at))
		require.GreaterOrEqual(t, back, at, "the largest tick at that time")
		require.Equal(t, m.At(at), m.At(back))

		d := time.Duration(rapid.Int64Range(0, 1<<57).Draw(t, "time"))
		tick := m.Tick(d)
		require.LessOrEqual(t, m.At(tick), d)
		require.Greater(t, m.At(tick+1), d)
	})
}

// The bound on a song's length: at the limit of 2^62 ns sums are still exact.
func TestTempoExtremes(t *testing.T) {
	m := NewTempoMap(Division{Ticks: 32767}, []TempoChange{{1 << 40, 1}, {1 << 46, 0xFFFFFF}})
	for _, tick := range []Tick{1<<40 - 1, 1 << 40, 1<<46 - 1, 1 << 46, 1<<46 + 12345} {
		require.Equal(t, exactTime(32767, m.Changes(), tick), m.At(tick))
	}
	require.Equal(t, Tick(math.MaxInt64), NewTempoMap(Division{Ticks: 32767}, []TempoChange{{0, 1}}).Tick(math.MaxInt64))
	require.Zero(t, m.Tick(-1))
}
