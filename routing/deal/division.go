package deal

import (
	"time"

	"choirloft/alloc/timing"
	"choirloft/midi"
)

// Most ticks of a quarter note and of a frame (RP-001, "Header Chunks").
const (
	mostPerQuarter = 32767
	mostPerFrame   = 255
)

// cutTicks chooses the division, and makes the maps of time and bars for it.
func (d *Deal) cutTicks(passes [][][]timing.Edge) {
	from := d.Song.Tempo
	division := from.Division()
	most := mostPerQuarter
	if division.SMPTE() {
		most = mostPerFrame
	}
	d.Factor = 1
	if need := d.finest(); need > 0 {
		longest := longestTick(from, passes)
		want := int((longest + need - 1) / need)
		d.Factor = max(1, min(want, most/division.Ticks))
		d.Coarse = d.Factor < want
	}
	division.Ticks *= d.Factor
	tempi, meters := from.Changes(), d.Song.Meter.Signatures()
	for i := range tempi {
		tempi[i].Tick *= midi.Tick(d.Factor)
	}
	for i := range meters {
		meters[i].Tick *= midi.Tick(d.Factor)
	}
	d.Tempo = midi.NewTempoMap(division, tempi)
	d.Meter = midi.NewMeterMap(division, meters)
}

// finest is the shortest time that has to be told: a gap or a gate; 0 where
// the rig has neither.
func (d *Deal) finest() time.Duration {
	gap, gate := d.Plan.Rules.Gap, d.Plan.Rules.Config.MinGate
	if gap == 0 || gate > 0 && gate < gap {
		return gate
	}
	return gap
}

// longestTick is the longest of the ticks that end where a gate goes high
// again on some voice.
func longestTick(m midi.TempoMap, passes [][][]timing.Edge) (longest time.Duration) {
	for _, voices := range passes {
		for _, edges := range voices {
			gates := 0
			for i := range edges {
				if edges[i].Kind != timing.GateHigh {
					continue
				}
				if gates++; gates > 1 {
					t := m.Tick(edges[i].At)
					longest = max(longest, m.At(t)-m.At(t-1))
				}
			}
		}
	}
	return longest
}
