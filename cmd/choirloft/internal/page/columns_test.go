package page

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
)

// pictured is an answer in columns.
type pictured struct {
	head struct {
		Unit    float64 `json:"unit_s"`
		Wants   wantsView
		Columns []columnView
		Parts   []string
		Keys    map[int]string
		Doc     document
		Chosen  struct {
			Parts, Kinds []struct{ Name, Label string }
			Doc          document
		}
	}
	columns map[string][]int
}

// pictured asks for an answer in columns, and reads it anew from its description.
func (b *bench) pictured(path string, q question) (x pictured) {
	b.t.Helper()
	body, err := json.Marshal(q)
	require.NoError(b.t, err)
	status, answer := b.post(path, string(body))
	require.Equal(b.t, 200, status, answer)
	data := []byte(answer)
	size := int(binary.LittleEndian.Uint32(data))
	require.NoError(b.t, json.Unmarshal(data[4:4+size], &x.head))
	x.columns = map[string][]int{}
	at := 4 + size
	for _, c := range x.head.Columns {
		at = (at + 7) / 8 * 8
		list := make([]int, c.Count)
		for i := range list {
			switch c.Type {
			case "u8":
				list[i], at = int(data[at]), at+1
			case "i16":
				list[i], at = int(int16(binary.LittleEndian.Uint16(data[at:]))), at+2
			case "i32":
				list[i], at = int(int32(binary.LittleEndian.Uint32(data[at:]))), at+4
			case "u32":
				list[i], at = int(binary.LittleEndian.Uint32(data[at:])), at+4
			default:
				b.t.Fatal("a column of kind ", c.Type)
			}
		}
		x.columns[c.Name] = list
	}
	return x
}

// lanesOf is what /api/play says of the same, as programs outside read it.
type lanesOf struct {
	Replay struct {
		contract.Totals
		Losses []contract.Loss
	}
	Lanes contract.Lanes
	Marks []string
}

func (b *bench) playedSo(q question) (x lanesOf) {
	b.t.Helper()
	body, err := json.Marshal(q)
	require.NoError(b.t, err)
	status, answer := b.post("play", string(body))
	require.Equal(b.t, 200, status, answer)
	require.NoError(b.t, json.Unmarshal([]byte(answer), &x))
	return x
}

// The columns say what /api/play says, in whole numbers of 0.1 ms.
func TestColumns(t *testing.T) {
	b := newBench(t)
	b.demo()
	q := question{Song: "1", Flags: []string{"--voices", "10"}}
	want, x := b.playedSo(q), b.pictured("picture", q)
	require.InDelta(t, 1e-4, x.head.Unit, 0)
	tick := func(s float64) int { return int(math.Round(s * 1e4)) }
	c := x.columns
	require.Len(t, c["start"], len(want.Lanes.Spans))
	require.NotEmpty(t, c["start"])
	for voice := range want.Lanes.Voices {
		for i := c["lane"][voice]; i < c["lane"][voice+1]; i++ {
			require.Equal(t, voice+1, want.Lanes.Spans[i].Voice)
		}
	}
	require.Equal(t, len(want.Lanes.Spans), c["lane"][len(want.Lanes.Voices)])
	taken := 0
	for i, s := range want.Lanes.Spans {
		require.Equal(t, []int{tick(s.StartS), tick(s.UpS), tick(s.LowS), tick(s.EndS), s.Note, s.Key, s.Part},
			[]int{c["start"][i], c["up"][i], c["low"][i], c["end"][i], c["note"][i], c["key"][i], c["part"][i]})
		require.Equal(t, s.KeyName, x.head.Keys[s.Key])
		if s.Ending != "" {
			taken++
		}
	}

	// Every mark stands where its loss is, and is as long as the note would have been heard.
	weights := map[string]int{"unheard": 0, "faint": 1, "plain": 2, "unweighed": 3}
	listed, ending := 0, 0
	for m, loss := range c["mark_loss"] {
		if span := c["mark_span"][m]; span >= 0 {
			s := want.Lanes.Spans[span]
			if s.Ending != "" {
				ending++
			}
			require.Equal(t, tick(s.WantedS), c["wanted"][m])
			require.Equal(t, s.EndS > s.LowS, c["mark_kind"][m]&1 == 1)
		}
		if loss < 0 {
			continue
		}
		listed++
		require.Equal(t, weights[want.Marks[loss]], c["weight"][m])
		if c["mark_kind"][m]&2 == 0 {
			require.Equal(t, tick(want.Replay.Losses[loss].AtS), c["mark"][m])
		}
	}
	require.Equal(t, taken, ending)
	require.Greater(t, listed, 30, "losses that the demo has on 10 voices")
	require.Len(t, c["loss"], len(want.Replay.Losses))
	for i, s := range want.Lanes.Audible {
		require.Equal(t, []int{tick(s.AtS), s.Voices}, []int{c["audible"][i], c["audible_n"][i]})
	}
	for i, bar := range want.Lanes.Bars {
		require.Equal(t, tick(bar.AtS), c["bars"][i])
	}
}

// Where 0.1 ms would need more than 32 bits, the unit is longer: 2³² times 0.1 ms are 429 496.7 s.
func TestClockOfLongSongs(t *testing.T) {
	require.InDelta(t, 1e-4, newClock(429_496).unit, 1e-12)
	require.InDelta(t, 1e-3, newClock(429_497).unit, 1e-12)
	require.Equal(t, uint32(429_497_000), newClock(429_497).of(429_497))
	require.Equal(t, uint32(12_346), clock{1e-4}.of(1.23456))
}

// Losses are chosen by part and by kind, the most heard first; the counts are those of all.
func TestChosenLosses(t *testing.T) {
	b := newBench(t)
	b.demo()
	q := question{Song: "1", Flags: []string{"--voices", "10"}}
	want := b.playedSo(q).Replay.Losses
	count := func(part, kind string) (n int) {
		for i := range want {
			if l := &want[i]; (part == "" || l.Part == part) && (kind == "" && !l.WrongPitch() || l.What() == kind) {
				n++
			}
		}
		return n
	}
	for _, c := range []struct{ part, kind string }{{"", ""}, {"arp", ""}, {"", "tail_cut_other_key"}, {"arp", "tail_cut_other_key"}, {"bass", "dropped"}, {"bass", "wrong_pitch"}, {"no part of the rig", ""}} {
		q.Part, q.Loss = c.part, c.kind
		x := b.pictured("shown", q)
		part := c.part
		if part == "no part of the rig" {
			part = "" // as an address may say
		}
		require.Equal(t, part, x.head.Wants.Part)
		list := x.head.Chosen.Doc.Blocks
		about := []string{}
		for _, block := range list {
			for _, g := range block.Groups {
				about = append(about, g.About...)
			}
		}
		require.Len(t, about, min(mostListed, count(part, c.kind)), "%v", c)
		for _, p := range x.head.Chosen.Parts {
			require.Contains(t, p.Label, "("+strconv.Itoa(count(p.Name, c.kind))+")")
		}
		for _, k := range x.head.Chosen.Kinds {
			require.Contains(t, k.Label, "("+strconv.Itoa(count(part, k.Name))+")", k.Label)
		}
	}
}
