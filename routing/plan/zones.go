package plan

import (
	"fmt"
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/routing"
)

// zoned reports what parts that listen to one channel leave out between their keys,
// and where they share some. What holds for several channels is said once.
func (p *Plan) zoned() (found []routing.Finding) {
	gaps, pairs := map[string]bool{}, map[[2]int]bool{}
	for port := midi.Port(0); port <= p.lastPort(); port++ {
		zones := midi.NewZones(alloc.ZonesOf(p.Rules.Config.Parts))
		for channel := range midi.Channel(16) {
			var parts []int
			for i := range p.Rules.Config.Parts {
				if p.Rules.Config.Parts[i].Hears(port, channel, zones.On(port)) {
					parts = append(parts, i)
				}
			}
			if at := fmt.Sprint(parts); len(parts) > 1 && !gaps[at] {
				gaps[at] = true
				found = append(found, p.holes(parts, channel)...)
			}
			for _, a := range parts {
				for _, b := range parts {
					if pair := [2]int{a, b}; a < b && !pairs[pair] {
						pairs[pair] = true
						found = append(found, p.shared(a, b)...)
					}
				}
			}
		}
	}
	return found
}

// lastPort is the highest port that a part names, and one more, which stands for all
// that none names.
func (p *Plan) lastPort() midi.Port {
	last := midi.Port(0)
	for _, part := range p.Rules.Config.Parts {
		for _, s := range part.Sources {
			last = max(last, s.Port+1)
		}
		for _, z := range part.Zones {
			last = max(last, z.Port+1)
		}
	}
	return min(last, 127)
}

// holes reports keys between those of the parts that none of them plays.
func (p *Plan) holes(parts []int, channel midi.Channel) (found []routing.Finding) {
	parts = slices.Clone(parts)
	slices.SortStableFunc(parts, func(a, b int) int { return int(p.keys(a).Low) - int(p.keys(b).Low) })
	below, high := parts[0], int(p.keys(parts[0]).High)
	for _, part := range parts[1:] {
		keys := p.keys(part)
		if low := int(keys.Low); low > high+1 {
			f := routing.New(routing.KeysUnplayed, "parts."+p.Rig.Parts[part].Name+".keys", append(p.ends(high+1, low-1),
				routing.Number("keys", low-high-1, "keys").Main(), routing.Named("channel", channel.String()),
				routing.Number("top", int(keys.High), "key"), routing.Named("below", p.Rig.Parts[below].Name), routing.Named("part", p.Rig.Parts[part].Name))...)
			f.Pos = p.Rig.Parts[part].Pos
			found = append(found, f)
		}
		if int(keys.High) > high {
			below, high = part, int(keys.High)
		}
	}
	return found
}

func (p *Plan) keys(part int) alloc.KeyRange { return p.Rules.Config.Parts[part].Keys }

// ends are the facts of a range of keys: its ends, or of one key that alone.
func (p *Plan) ends(low, high int) []routing.Fact {
	facts := []routing.Fact{routing.Key("low", low, midi.Key(low).Name(int(p.Rig.MiddleC)))}
	if high > low {
		facts = append(facts, routing.Key("high", high, midi.Key(high).Name(int(p.Rig.MiddleC))))
	}
	return facts
}

// shared reports keys that two parts on one channel play both. Parts with the same
// keys are a layer that is meant.
func (p *Plan) shared(a, b int) []routing.Finding {
	x, y := &p.Rules.Config.Parts[a], &p.Rules.Config.Parts[b]
	both := alloc.KeyRange{Low: max(x.Keys.Low, y.Keys.Low), High: min(x.Keys.High, y.Keys.High)}
	if x.Keys == y.Keys || both.Low > both.High || x.Velocities[0] > y.Velocities[1] || y.Velocities[0] > x.Velocities[1] {
		return nil
	}
	f := routing.New(routing.KeysOverlap, "parts."+p.Rig.Parts[b].Name+".keys", append(p.ends(int(both.Low), int(both.High)),
		routing.Number("keys", int(both.High)-int(both.Low)+1, "keys").Main(),
		routing.Named("part", p.Rig.Parts[a].Name), routing.Named("other", p.Rig.Parts[b].Name))...)
	f.Pos = p.Rig.Parts[b].Pos
	return []routing.Finding{f}
}

// unreached reports a part whose keys no voice in service of its banks tracks.
func (p *Plan) unreached(i int) []routing.Finding {
	part := &p.Rules.Config.Parts[i]
	low, high := int(part.Keys.Low)+part.Transpose, int(part.Keys.High)+part.Transpose
	some := false
	for _, v := range p.Rules.Config.Voices {
		if !v.State.InService() || !slices.Contains(part.Banks, v.Bank) {
			continue
		}
		some = true
		if v.State != alloc.Limited || low <= int(v.Keys.High) && int(v.Keys.Low) <= high {
			return nil
		}
	}
	if !some {
		return nil // said already: it has no voice
	}
	f := routing.New(routing.PartUnreached, "parts."+part.Name+".keys",
		routing.Named("part", part.Name), routing.Number("low", low, "key"), routing.Number("high", high, "key"))
	f.Pos = p.Rig.Parts[i].Pos
	return []routing.Finding{f}
}
