package tuning

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/detune"
)

// Reading is the pitch that a voice gave for some volts.
type Reading struct {
	Pos   profiles.Pos
	Voice int            // index into Rig.Voices
	Volts profiles.Volts // at the pitch jack: −20…+20 V
	// Keyed: the volts are those that the interface puts out for Key.
	Keyed bool
	Key   midi.Key
	// Through says what Key went through; Volts are those at the jack all the same.
	Through Through
	Hertz   profiles.Hertz // 1 Hz–20 kHz
	Date    string         // as YYYY-MM-DD, or empty
}

// cell is one value of a reading, as it was written.
type cell struct {
	text string
	pos  profiles.Pos
	path string
}

// row is one reading, as it was written: its cells by the names of the columns.
type row struct {
	pos   profiles.Pos
	path  string
	cells map[string]cell
}

// columns are the names that a reading's cells may have.
var columns = []string{"voice", "volts", "key", "hertz", "beats", "reference", "date"}

// maxReadings is how many readings are taken.
const maxReadings = 20_000

// interpreter turns rows into readings.
type interpreter struct {
	rig     *profiles.Rig
	boxes   []*profiles.Interface // of each voice's pitch; nil without a jack
	now     []profiles.Correction // of each voice
	refused map[profiles.Pos]bool // what was found at fault for all rows
	faults  profiles.Faults
}

func newInterpreter(rig *profiles.Rig) *interpreter {
	return &interpreter{rig: rig, boxes: Boxes(rig), now: routing.Corrections(rig), refused: map[profiles.Pos]bool{}}
}

// Boxes returns for each voice the interface that drives its pitch, nil where
// its pitch has no jack.
func Boxes(rig *profiles.Rig) []*profiles.Interface {
	return boxesOf(routing.NewMap(rig))
}

func boxesOf(m *routing.Map) []*profiles.Interface {
	boxes := make([]*profiles.Interface, len(m.Voices))
	for i, v := range m.Voices {
		if v.Interface >= 0 {
			boxes[i] = &m.Rig.Interfaces[v.Interface]
		}
	}
	return boxes
}

func (x *interpreter) fault(at cell, hint, format string, args ...any) {
	x.faults = append(x.faults, profiles.Fault{Pos: at.pos, Path: at.path, Message: fmt.Sprintf(format, args...), Hint: hint})
}

// readings turns all rows into readings, or says everything that is wrong.
func (x *interpreter) readings(rows []row) ([]Reading, profiles.Faults) {
	all := make([]Reading, 0, len(rows))
	for i, r := range rows {
		if i == maxReadings {
			x.fault(cell{pos: r.pos, path: r.path}, "", "more than %d readings", maxReadings)
			break
		}
		if reading, ok := x.reading(r); ok {
			all = append(all, reading)
		}
	}
	if len(x.faults) > 0 {
		slices.SortStableFunc(x.faults, func(a, b profiles.Fault) int {
			return cmp.Or(cmp.Compare(a.Pos.Line, b.Pos.Line), cmp.Compare(a.Pos.Column, b.Pos.Column))
		})
		return nil, x.faults
	}
	return all, nil
}

// reading turns a row into a reading; ok is false where something is wrong
// with it, which has then been said.
func (x *interpreter) reading(r row) (out Reading, ok bool) {
	before := len(x.faults)
	out.Pos = r.pos
	x.voice(r, &out)
	x.date(r, &out)
	x.through(r, &out)
	if len(x.faults) > before {
		return out, false
	}
	x.sent(r, &out)
	x.measured(r, &out)
	return out, len(x.faults) == before
}

func (x *interpreter) missing(r row, format string, args ...any) {
	x.fault(cell{pos: r.pos, path: r.path}, "", format, args...)
}

func (x *interpreter) voice(r row, out *Reading) {
	c, ok := r.cells["voice"]
	if !ok {
		x.missing(r, "voice is missing")
		return
	}
	voice, found := voiceOf(x.rig, c.text)
	if !found {
		x.fault(c, "", "found the voice %q, want %s, or a number from 1 to %d", shown(c.text), x.rig.VoiceSpan(), len(x.rig.Voices))
		return
	}
	out.Voice = voice
}

// voiceOf finds a voice by its name, or by its number from 1.
func voiceOf(rig *profiles.Rig, text string) (int, bool) {
	if i := slices.IndexFunc(rig.Voices, func(v profiles.Voice) bool { return v.Name == text }); i >= 0 {
		return i, true
	}
	n, err := strconv.Atoi(text)
	return n - 1, err == nil && n >= 1 && n <= len(rig.Voices)
}

func (x *interpreter) date(r row, out *Reading) {
	c, ok := r.cells["date"]
	if !ok {
		return
	}
	if _, err := time.Parse(time.DateOnly, c.text); err != nil {
		x.fault(c, "", "found the date %q, want one such as 2026-11-02", shown(c.text))
		return
	}
	out.Date = c.text
}

// sent reads what was at the pitch jack.
func (x *interpreter) sent(r row, out *Reading) {
	volts, hasVolts := r.cells["volts"]
	key, hasKey := r.cells["key"]
	switch {
	case hasVolts && hasKey:
		x.fault(key, "leave one of the two out", "volts and key stand side by side, want one")
	case hasVolts:
		v, ok := x.number(volts, -20, 20, "volts from -20 V to 20 V", voltUnits)
		if !ok {
			return
		}
		out.Volts = profiles.Volts(v)
	case hasKey:
		x.key(key, out)
	default:
		x.missing(r, "neither volts nor a key is given")
	}
}

func (x *interpreter) key(c cell, out *Reading) {
	key, err := midi.ParseKey(c.text, int(x.rig.MiddleC))
	if err != nil {
		x.fault(c, "", "%v", err)
		return
	}
	box := x.boxes[out.Voice]
	if box == nil {
		x.fault(c, "write volts instead", "the pitch of %s has no jack, so that nothing says how many volts key %d is",
			x.rig.Voices[out.Voice].Name, key)
		return
	}
	out.Keyed, out.Key = true, key
	if out.Volts = routing.VoltsAt(box, x.rig.A4, float64(key)); out.Volts < box.Window.Low-edge || out.Volts > box.Window.High+edge {
		x.fault(c, "", "key %d wants %s V, and interface %s ends at %g and %g V", key, unit.Fixed(out.Volts, 3), box.Name,
			float64(box.Window.Low), float64(box.Window.High))
	}
	out.Volts = out.sent(box, &x.now[out.Voice], x.rig.A4)
}

// edge forgives rounding at the ends of a window, in volts.
const edge = 1e-9

// measured reads the pitch, given as hertz or as beats.
func (x *interpreter) measured(r row, out *Reading) {
	hertz, hasHertz := r.cells["hertz"]
	beats, hasBeats := r.cells["beats"]
	reference, hasReference := r.cells["reference"]
	switch {
	case hasHertz && hasBeats:
		x.fault(beats, "leave one of the two out", "hertz and beats stand side by side, want one")
	case hasHertz && hasReference && reference.path != "reference":
		x.fault(reference, "it is what beats are counted against", "a reference stands beside hertz, want it beside beats")
	case hasHertz:
		if v, ok := x.number(hertz, 1, 20000, "a pitch from 1 Hz to 20 kHz", hertzUnits); ok {
			out.Hertz = profiles.Hertz(v)
		}
	case hasBeats:
		x.beats(r, beats, out)
	default:
		x.missing(r, "neither hertz nor beats are given")
	}
}

// beats adds beats to what they were counted against.
func (x *interpreter) beats(r row, c cell, out *Reading) {
	b, ok := x.number(c, -100, 100, "beats a second from -100 to 100, below 0 for a flat voice", hertzUnits)
	if !ok {
		return
	}
	against := float64(detune.Frequency(detune.Hertz(x.rig.A4), float64(out.Key)))
	if reference, given := r.cells["reference"]; given {
		if against, ok = x.number(reference, 1, 20000, "a pitch from 1 Hz to 20 kHz", hertzUnits); !ok {
			return
		}
	} else if !out.Keyed {
		x.fault(c, "add reference, in hertz", "beats beside volts, and no reference that they were counted against")
		return
	}
	if against+b < 1 {
		x.fault(c, "", "%g beats below %g Hz leave no pitch", -b, against)
		return
	}
	out.Hertz = profiles.Hertz(against + b)
}

// suffix is a unit and its factor. The first one is that of a bare number.
type suffix struct {
	name   string
	factor float64
}

var (
	voltUnits  = []suffix{{"V", 1}, {"mV", 1e-3}}
	hertzUnits = []suffix{{"Hz", 1}, {"kHz", 1e3}}
)

// number reads a number with or without a unit, from low to high.
func (x *interpreter) number(c cell, low, high float64, want string, units []suffix) (float64, bool) {
	text := strings.TrimSpace(strings.ReplaceAll(c.text, "−", "-"))
	factor := 1.0
	for _, u := range units {
		if bare, found := strings.CutSuffix(text, u.name); found && bare != "" && !strings.ContainsAny(bare[len(bare)-1:], "mk") {
			text, factor = strings.TrimSpace(bare), u.factor
		}
	}
	v, err := strconv.ParseFloat(text, 64)
	v *= factor
	if err != nil || strings.ContainsAny(text, "xXpP_nN") || !(v >= low && v <= high) {
		hint := ""
		if strings.Count(text, ",") == 1 {
			hint = "write decimals with a point"
		}
		x.fault(c, hint, "found %q, want %s", shown(c.text), want)
		return 0, false
	}
	return v, true
}

// shown shortens what a message repeats.
func shown(text string) string {
	const most = 40
	if r := []rune(text); len(r) > most {
		return string(r[:most]) + "…"
	}
	return text
}
