package profiles

import (
	"slices"
	"strconv"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles/pattern"
)

// Channels, ports and controllers. Files count all but controllers from 1.

// listens is what a part listens to.
type listens struct {
	sources []alloc.Source
	zone    Zone
	members int // of the zone
}

const sourceExamples = "a channel from 1 to 16, or a port from 1 to 128 and a channel, such as port 2 channel 5"

var sourceForm = pattern.Of(`^(?:port ([0-9]{1,4}) channel )?([0-9]{1,4})$`)

// parseSource reads "5" or "port 2 channel 5".
func parseSource(text string) (alloc.Source, *complaint) {
	c := complain("found %s, want %s", quote(text), sourceExamples)
	m := sourceForm().FindStringSubmatch(text)
	if m == nil {
		return alloc.Source{}, c
	}
	if m[2][0] == '0' || m[1] != "" && m[1][0] == '0' {
		return alloc.Source{}, c.advise("channels and ports count from 1")
	}
	channel, _ := strconv.Atoi(m[2])
	port, _ := strconv.Atoi(m[1]) // 0 where there is none
	if channel > 16 || port > 128 {
		return alloc.Source{}, c
	}
	s := alloc.Source{AnyPort: m[1] == "", Channels: 1 << (channel - 1)}
	if !s.AnyPort {
		s.Port = midi.Port(port - 1)
	}
	return s, nil
}

// sourceWord is one channel; its values are alloc.Source.
var sourceWord = leaf{words{sourceExamples, sourceWritten, func(_ *reader, text string) (any, *complaint) { return parseSource(text) }}}

// maxMembers is how many member channels a zone has unless said: all but its
// manager.
const maxMembers = 15

const zoneExamples = "a zone, such as mpe lower, or mpe upper 7 with 7 member channels"

var zoneForm = pattern.Of(`^mpe (lower|upper)(?: ([0-9]{1,4}))?$`)

// parseZone reads "mpe lower" or "mpe upper 7"; ok is false for what is no
// zone at all.
func parseZone(text string) (l listens, ok bool, c *complaint) {
	m := zoneForm().FindStringSubmatch(text)
	if m == nil {
		return listens{}, false, nil
	}
	l = listens{zone: Zone(1 + slices.Index(zoneNames[1:], "mpe "+m[1])), members: maxMembers}
	if m[2] == "" {
		return l, true, nil
	}
	l.members, _ = strconv.Atoi(m[2])
	if l.members < 1 || l.members > maxMembers || m[2][0] == '0' {
		return l, true, complain("found %s, want 1 to %d member channels", quote(text), maxMembers)
	}
	return l, true, nil
}

// listenWord is one channel, a zone or none; its values are listens.
var listenWord = leaf{words{sourceExamples + ", or " + zoneExamples + ", or none", listenWritten, func(_ *reader, text string) (any, *complaint) {
	if text == NoZone.String() { // a part that waits for its song
		return listens{}, nil
	}
	if l, ok, c := parseZone(text); ok {
		return l, c
	}
	s, c := parseSource(text)
	if c != nil {
		c.message += ", or " + zoneExamples + ", or none"
		return nil, c.didYouMean(text, zoneNames)
	}
	return listens{sources: []alloc.Source{s}}, nil
}}}

// maxChannels is how many channels a part may list.
const maxChannels = 256

// channelShape is what a part listens to; its values are listens.
var channelShape = byKind{
	scalar: listenWord,
	list: mapped[[]alloc.Source, listens]{
		listOf[alloc.Source]{of: sourceWord, what: "channels", max: maxChannels, same: overlap},
		func(s []alloc.Source) listens { return listens{sources: merge(s)} },
	},
}

// overlap tells whether two sources share a channel of one port.
func overlap(a, b alloc.Source) bool {
	return a.Channels&b.Channels != 0 && (a.AnyPort || b.AnyPort || a.Port == b.Port)
}

// merge puts the channels of one port into one source.
func merge(sources []alloc.Source) []alloc.Source {
	var merged []alloc.Source
	for _, s := range sources {
		i := slices.IndexFunc(merged, func(m alloc.Source) bool { return m.AnyPort == s.AnyPort && m.Port == s.Port })
		if i < 0 {
			merged = append(merged, s)
			continue
		}
		merged[i].Channels |= s.Channels
	}
	return merged
}

// moved is the controller that moves a macro.
type moved struct {
	controller uint8
	source     alloc.Source
}

const controllerExamples = "a controller and its channel, such as CC 74 on 16 or CC 74 on port 2 channel 5"

var controllerForm = pattern.Of(`^CC ?([0-9]{1,4}) on (.*)$`)

// controllerWord is a controller on one channel; its values are moved.
var controllerWord = leaf{words{controllerExamples, controllerWritten, func(_ *reader, text string) (any, *complaint) {
	c := complain("found %s, want %s", quote(text), controllerExamples)
	m := controllerForm().FindStringSubmatch(text)
	if m == nil {
		return nil, c
	}
	source, sc := parseSource(m[2])
	if sc != nil {
		return nil, sc
	}
	number, _ := strconv.Atoi(m[1])
	if number > 119 {
		return nil, c.advise("controllers count from 0 to 119; 120 to 127 are channel mode messages")
	}
	return moved{uint8(number), source}, nil
}}}
