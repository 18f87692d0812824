package say

import (
	"fmt"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// unplayed says where notes come from that no part plays.
type unplayed struct {
	list    []contract.UnmappedKeys
	middleC int
}

func (s size) unheard() unplayed { return unplayed{s.UnmappedKeys, s.MiddleC} }

func (r result) unheard() unplayed { return unplayed{r.UnmappedKeys, r.middleC} }

// none tells whether every note has a part.
func (u unplayed) none() bool { return len(u.list) == 0 }

// name is a channel of which no part plays a note, or of another the keys.
func (u unplayed) name(at int) string {
	x := &u.list[at]
	key := func(k int) string { return contract.KeyName(k, u.middleC) }
	switch {
	case x.Whole:
		return x.Channel
	case x.LowKey == x.HighKey:
		return fmt.Sprintf("key %s (%d) of %s", key(x.LowKey), x.LowKey, x.Channel)
	}
	return fmt.Sprintf("keys %s-%s (%d-%d) of %s", key(x.LowKey), key(x.HighKey), x.LowKey, x.HighKey, x.Channel)
}

// mostChannels is how many channels a sentence names.
const mostChannels = 4

// channels are all of them, as in channels 5, 7 and 9; short is false where these are too many
// for a sentence, or not plain channels.
func (u unplayed) channels() (text string, short bool) {
	if len(u.list) == 1 {
		return u.name(0), true
	}
	var numbers []string
	for i := range u.list {
		number, plain := strings.CutPrefix(u.list[i].Channel, "channel ")
		if !plain || !u.list[i].Whole || len(u.list) > mostChannels {
			return unit.Count(len(u.list), "channel"), false
		}
		numbers = append(numbers, number)
	}
	return "channels " + unit.List(numbers), true
}

// part is what would play them.
func (u unplayed) part() string {
	text, _ := u.channels()
	if len(u.list) == 1 {
		return "a part for " + text
	}
	return "parts for " + text
}

// brief is the same in fewer words; empty where there are none.
func (u unplayed) brief() string {
	if len(u.list) == 1 {
		return ""
	}
	return "parts for " + unit.Count(len(u.list), "channel")
}

// sentence says how many notes no part plays, and of what; empty for none.
func (u unplayed) sentence(notes int) string {
	if notes == 0 {
		return ""
	}
	verb := "are"
	if notes == 1 {
		verb = "is"
	}
	text, short := u.channels()
	if !short {
		return fmt.Sprintf("%s on %s %s unplayed, such as %s.", unit.Count(notes, "note"), text, verb, u.name(0))
	}
	return fmt.Sprintf("%s %s unplayed: no part plays %s.", unit.Count(notes, "note"), verb, text)
}
