package profiles

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"gopkg.in/yaml.v3"

	"choirloft/profiles/pattern"
	"choirloft/profiles/unit"
)

// What people write instead: words of players that are no keys, keys in the wrong
// place, and values that another key or another form is for.

// Word is a word of players that is no key, and the key that does it.
type Word struct {
	Key string // with the way to it, as in parts.mode
	How string // a sentence without its full stop
}

// words of players, in small letters.
var playersWords = map[string]Word{
	"legato":       {"parts.mode", "a mono part slurs: a key that is pressed while another is down moves the pitch alone, unless reattack says otherwise"},
	"mono":         {"parts.mode", "a mono part plays one note at a time"},
	"retrigger":    {"parts.reattack", "a mono part starts its envelope again where reattack says so"},
	"split":        {"parts.keys", "a split of the keyboard is two parts, each with its own keys"},
	"zone":         {"parts.keys", "a zone of the keyboard is the keys of a part"},
	"range":        {"parts.keys", "a range of the keyboard is the keys of a part"},
	"portamento":   {"parts.glide", "a glide is a time that a pitch takes"},
	"layer":        {"parts.channel", "parts that listen to one channel play together"},
	"midi_channel": {"parts.channel", "a part says what it listens to"},
	"midi":         {"parts.channel", "a part says what it listens to"},
	"polyphony":    {"parts.limit", "a part may hold all voices of its banks, or fewer"},
	"stack":        {"parts.unison", "a unison puts several voices on one note"},
	"velocity":     {"parts.velocities", "a part may play a range of velocities alone"},
	"slur":         {"parts.mode", "a mono part slurs: a key that is pressed while another is down moves the pitch alone"},
	"drums":        {"parts.channel", "a part without channel plays all but 10, which is for drums: to play them, a part names channel 10"},
	"split_point":  {"parts.keys", "a split of the keyboard is two parts, each with its own keys"},
	"multiple":     {"wiring.through", "a multiple is a wire from one output to several inputs"},
	"normalled":    {"voices.group_pitch", "a bank's common pitch jack may be normalled to its voices"},
	"octave":       {"parts.transpose", "an octave is twelve semitones"},
}

// PlayersWords are all there are, in small letters.
func PlayersWords() map[string]Word { return maps.Clone(playersWords) }

// PlayersWord is what a word of players is called in a rig; ok is false for others.
func PlayersWord(asked string) (w Word, ok bool) {
	w, ok = playersWords[strings.ToLower(asked)]
	return w, ok
}

// meant explains what an unknown key may be: a word of players, a key from another
// place, or the nearest of those that are allowed, with its meaning and an example.
func (o object[T]) meant(key, before, value *yaml.Node, allowed []string) string {
	name := key.Value
	if isNothing(value) && name != "" && name[0] >= '0' && name[0] <= '9' {
		return "write decimals with a point: in {…} a comma starts a new key"
	}
	if first, _, ok := strings.Cut(name, ":"); ok && slices.Contains(allowed, first) {
		return "a space belongs behind the colon: " + shorten(strings.Replace(name, ":", ": ", 1))
	}
	if before != nil && value.Kind == yaml.MappingNode {
		return "indent it by two spaces to put it under " + shorten(before.Value)
	}
	if of := owner(value); of == "part" || of == "bank" && o.what == "a rig" {
		return "a " + of + " stands two spaces in, under " + of + "s"
	}
	if w, ok := PlayersWord(name); ok {
		if r, ok := o.row(w.Key[strings.LastIndexByte(w.Key, '.')+1:]); ok {
			return w.How + ", such as " + r.line()
		}
	}
	if near, ok := unit.Nearest(name, allowed); ok {
		r, _ := o.row(near)
		return "did you mean " + near + "? " + r.explained()
	}
	if hint, ok := elsewhere()[name]; ok {
		return hint
	}
	if o.what == "a part" && isNothing(value) {
		return "a part stands two spaces in, under parts"
	}
	return ""
}

// owner tells by its keys what a map under an unknown key describes: a part or a bank.
// Most of its keys have to be such; empty is for neither.
func owner(value *yaml.Node) string {
	for _, of := range []string{"part", "bank"} {
		known := 0
		for i := 0; i+1 < len(value.Content); i += 2 {
			if places()[of+"s.*."+value.Content[i].Value] {
				known++
			}
		}
		if value.Kind == yaml.MappingNode && 4*known > len(value.Content) {
			return of
		}
	}
	return ""
}

// places are where keys of a rig file stand.
var places = sync.OnceValue(func() map[string]bool {
	all := map[string]bool{}
	for _, k := range Keys() {
		all[k.Place] = true
	}
	return all
})

// row is the row of a key; ok is false where there is none.
func (o object[T]) row(key string) (r row, ok bool) {
	for _, r := range o.rows() {
		if r.key == key {
			return r, true
		}
	}
	return row{}, false
}

// elsewhere says where each key of a rig file stands, for who wrote it in a map that
// has none of that name.
var elsewhere = sync.OnceValue(func() map[string]string {
	all := map[string]string{}
	for _, k := range Keys() {
		name := k.Name()
		if _, there := all[name]; there || k.OfProfile {
			continue
		}
		place := strings.ReplaceAll(strings.TrimSuffix(strings.TrimSuffix(k.Place, name), "."), "*", "NAME")
		all[name] = name + " stands under " + place + ": " + k.Meaning
		if place == "" {
			all[name] = name + " stands at the edge of the file: indent nothing before it"
		}
	}
	return all
})

// explained is the meaning of a key with an example, unless it has one itself.
func (r row) explained() string {
	if strings.Contains(r.doc, "such as") {
		return r.doc
	}
	return r.doc + ", such as " + r.line()
}

// line is a key with a value of its own, as an example has it.
func (r row) line() string {
	for _, line := range r.lines() {
		if text := strings.TrimSpace(line); strings.HasPrefix(text, r.key+":") {
			return text
		}
	}
	return r.key
}

// Explained is the meaning of the key with an example, unless it has one itself.
func (k *Key) Explained() string {
	return row{doc: k.Meaning, key: k.Name(), example: k.Example}.explained()
}

// covers tells whether an unknown key of a map stands for one that is missing: with no
// space behind its colon, or spelt nearly so.
func (o object[T]) covers(n *yaml.Node, key string) bool {
	allowed := o.keys()
	for i := 0; i+1 < len(n.Content); i += 2 {
		name := n.Content[i].Value
		if strings.HasPrefix(name, key+":") {
			return true
		}
		if near, ok := unit.Nearest(name, allowed); ok && near == key && name != key {
			return true
		}
	}
	return false
}

var (
	numbersForm  = pattern.Of(`^([0-9]{1,2}) ?[-–] ?([0-9]{1,2})$`)
	channelsForm = pattern.Of(`^(?:1[0-6]|[1-9])(?:(?: ?[,;+/&] ?| and )(?:1[0-6]|[1-9]))+$`)
	channelForm  = pattern.Of(`^(?i:ch|chan|channel)[.:]? ?(1[0-6]|[1-9])$`)
	openKeysForm = pattern.Of(`^(?:[-–] ?([^-–].*)|(.+?) ?[-–])$`)
	toForm       = pattern.Of(`^(.+?) ?(?:to|[.][.]+) ?(.+)$`)
	numberRuns   = pattern.Of(`[0-9]+`)
	countForm    = pattern.Of(`^([0-9]{1,4}) ?(?:voices?|x)$`)
	percentForm  = pattern.Of(`^[0-9.]+ ?%$`)
	numberForm   = pattern.Of(`^[0-9]`)
)

// slips are values that people write under a key, and what they mean by them: by the
// key, for a text that could not be read. Empty is for no idea.
var slips = map[string]func(text string) string{
	"mode": func(text string) string {
		switch strings.ToLower(text) {
		case "mono", "monophonic", "solo":
			return "write mono last, mono low or mono high"
		case "legato":
			return "write mono last: it slurs, unless reattack says otherwise"
		case "retrigger":
			return "write mono last, and reattack: press"
		case "unison":
			return "a unison is a key of its own: unison: {voices: 2}"
		}
		return ""
	},
	"channel": func(text string) string {
		if m := numbersForm().FindStringSubmatch(text); m != nil {
			low, _ := strconv.Atoi(m[1])
			high, _ := strconv.Atoi(m[2])
			var all []string
			for n := low; 1 <= low && high <= 16 && n <= high; n++ {
				all = append(all, strconv.Itoa(n))
			}
			if len(all) > 0 {
				return "write [" + strings.Join(all, ", ") + "]"
			}
		}
		if m := channelsForm().FindStringSubmatch(text); m != nil {
			return "write [" + strings.Join(numberRuns().FindAllString(text, -1), ", ") + "]"
		}
		if m := channelForm().FindStringSubmatch(text); m != nil {
			return "write " + m[1]
		}
		if n, err := strconv.Atoi(text); err == nil && n > 16 && n <= 2048 {
			return "a port has 16 channels; on the next ones write it like port 2 channel 1"
		}
		if slices.Contains([]string{"all", "any", "omni"}, strings.ToLower(text)) {
			return "leave channel out: the part then plays every channel but 10"
		}
		return ""
	},
	"keys": func(text string) string {
		whole := strings.ToUpper(toForm().ReplaceAllString(text, "$1-$2"))
		if m := openKeysForm().FindStringSubmatch(whole); m != nil {
			whole = cmp.Or(m[2], "0") + "-" + cmp.Or(m[1], "127")
		}
		if _, c := (&reader{middleC: C4}).parseKeySpan(whole); c == nil && whole != text {
			return "write " + whole
		}
		if slices.Contains([]string{"all", "any"}, strings.ToLower(text)) {
			return "leave keys out to play all"
		}
		return ""
	},
	"steal": func(text string) string {
		if slices.Contains([]string{"off", "no", "never", "false"}, strings.ToLower(text)) {
			return "write none: no sounding note ever loses its voice"
		}
		return ""
	},
	"detune": func(text string) string {
		if numberForm().MatchString(text) {
			return "the width stands under spread: write spread: " + text
		}
		return ""
	},
	"zero_key": func(text string) string {
		if strings.HasSuffix(text, "V") {
			return "it is a key, not volts: that which gives 0 V"
		}
		return ""
	},
	"voices": func(text string) string {
		if m := countForm().FindStringSubmatch(strings.ToLower(text)); m != nil {
			return "write " + m[1]
		}
		return ""
	},
	"spread":  inCents,
	"drift":   inCents,
	"out":     position,
	"spare":   position,
	"pitches": wayOfPitches,
}

func position(text string) string {
	if _, n := splitVoice(text); n != "" && n != text {
		return "write the position in the bank: [" + n + "]"
	}
	return ""
}

func inCents(text string) string {
	if percentForm().MatchString(text) {
		return "write it in cents, such as 8 cents: a semitone has 100"
	}
	return ""
}

func wayOfPitches(text string) string {
	switch text {
	case "multiple", "mult", "mults", "passive", "buffered":
		return "write multiples; through says which kind"
	}
	return ""
}

// slip gives advice on faults that reading a field has just found, from the first of
// them on, where the value is one that people write for another.
func (r *reader) slip(key string, value *yaml.Node, at string, from int) {
	advise := slips[key]
	if advise == nil {
		return
	}
	for i := range r.faults[from:] {
		f := &r.faults[from+i]
		if f.Path != at || value.Kind != yaml.ScalarNode {
			continue
		}
		if hint := advise(value.Value); hint != "" {
			f.Hint = hint
		}
	}
}

// alone is what a map can be written as where a value of its first field stands in
// its place: {voices: 4} for 4. Empty is for no such field.
func (o object[T]) alone(n *yaml.Node) string {
	if n.Kind == yaml.SequenceNode && len(o.fields) > 0 && o.fields[0].need {
		l, _ := o.fields[0].shape.(leaf)
		if _, counts := l.scalar.(integer); counts { // the voices of a bank one by one
			n = &yaml.Node{Kind: yaml.ScalarNode, Value: strconv.Itoa(len(n.Content))}
		}
	}
	if n.Kind != yaml.ScalarNode || isNothing(n) {
		return ""
	}
	var try []field[T]
	for _, need := range []bool{true, false} {
		for _, f := range o.fields {
			if f.need == need {
				try = append(try, f)
			}
		}
	}
	for _, f := range try[:min(2, len(try))] {
		if _, ok := f.shape.read(&reader{middleC: C4}, n, ""); ok {
			return "write {" + f.key + ": " + shorten(n.Value) + "}"
		}
	}
	return ""
}

// joined is what a list of two is as a range, or of one as a value: 36-96 for
// [36, 96]. Empty is for neither.
func (l leaf) joined(n *yaml.Node) string {
	if n.Kind != yaml.SequenceNode || len(n.Content) == 0 {
		return ""
	}
	if _, counts := l.scalar.(integer); counts && len(n.Content) > 1 {
		return "write how many: " + strconv.Itoa(len(n.Content))
	}
	if len(n.Content) > 2 {
		return ""
	}
	var texts []string
	for _, item := range n.Content {
		texts = append(texts, item.Value)
	}
	text := strings.Join(texts, "-")
	if _, c := l.parse(&reader{middleC: C4}, written{text: text}); c == nil {
		return "write " + shorten(text)
	}
	return ""
}
