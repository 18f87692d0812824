package estimate

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"choirloft/profiles/pattern"
)

// A SyntaxError says what is wrong with a description, and where.
type SyntaxError struct {
	At      int    // the character, from 1
	Message string // what was found and what is wanted
	Hint    string // what to do about it; may be empty
}

// Error returns place and message, without the hint.
func (e *SyntaxError) Error() string { return fmt.Sprintf("character %d: %s", e.At, e.Message) }

// What a description may hold; see the package comment.
const (
	mostLayers  = 16
	mostInChord = 64
	mostRate    = 100.0
	leastLength = time.Millisecond
	mostLength  = 600 * time.Second
	mostText    = 4096 // bytes
)

const (
	wantWhat   = `want notes, or chords of a number from 1 to 64, as in "chords of 4" or "chords of 3-5"`
	wantRate   = `want how often, above 0 and up to 100 a second, as in "2 a second" or "90 a minute"`
	wantLength = `want how long the keys are down, from 1 ms to 600 s, as in "0.8 s" or "250 ms"`
	wantOption = `want even, or the time from lift to lift of a pedal, up to 600 s, as in "pedal 4 s"`
	wantPart   = `want the name of a part before "="`
	example    = `write it like "chords of 4, 2 a second, 0.8 s"`
)

const numeral = `([0-9]{1,9}(?:\.[0-9]{1,9})?)`

var (
	partForm   = pattern.Of(`^[\pL][\pL\pN_-]*$`)
	chordForm  = pattern.Of(`^chords\s+of\s+([0-9]{1,3})(?:\s*-\s*([0-9]{1,3}))?$`)
	rateForm   = pattern.Of(`^` + numeral + `\s+a\s+(second|minute)$`)
	lengthForm = pattern.Of(`^` + numeral + `\s*(ms|s)$`)
	pedalForm  = pattern.Of(`^pedal\s+` + numeral + `\s*(ms|s)$`)
)

// Parse reads a description. Its error is a *[SyntaxError], for the first thing
// that is wrong.
func Parse(text string) (*Playing, error) {
	if len(text) > mostText {
		return nil, &SyntaxError{1, fmt.Sprintf("%d bytes, a description has at most %d", len(text), mostText), ""}
	}
	p := &Playing{}
	for start := 0; start <= len(text); {
		end := len(text)
		if n := strings.IndexAny(text[start:], "+;"); n >= 0 {
			end = start + n
		}
		r := reader{text: text, at: start, end: end}
		l, err := r.layer()
		if err != nil {
			return nil, err
		}
		if len(p.Layers) == mostLayers {
			return nil, r.fault(start, fmt.Sprintf("a further layer, at most %d are played at once", mostLayers), "")
		}
		p.Layers = append(p.Layers, l)
		start = end + 1
	}
	return p, nil
}

// reader reads one layer of a description.
type reader struct {
	text    string
	at, end int // what is left of the layer
}

// fault is an error at a byte of the text.
func (r *reader) fault(at int, message, hint string) error {
	return &SyntaxError{utf8.RuneCountInString(r.text[:at]) + 1, message, hint}
}

// item is what stands between two commas, without the space around it.
type item struct {
	text string
	at   int
}

// next takes the next item; ok is false where the layer has ended.
func (r *reader) next() (it item, ok bool) {
	if r.at > r.end {
		return item{at: r.end}, false
	}
	end := r.end
	if n := strings.IndexByte(r.text[r.at:r.end], ','); n >= 0 {
		end = r.at + n
	}
	it = trimmed(r.text, r.at, end)
	r.at = end + 1
	return it, true
}

func trimmed(text string, from, to int) item {
	all := text[from:to]
	left := strings.TrimLeft(all, " \t")
	return item{strings.TrimRight(left, " \t"), from + len(all) - len(left)}
}

// refuse is an error about an item; an item of another decimal sign gets its
// own advice.
func (r *reader) refuse(it item, present bool, want string) error {
	switch {
	case !present:
		return r.fault(it.at, "the layer ends, "+want, example)
	case it.text == "":
		return r.fault(it.at, "found nothing, "+want, example)
	}
	hint := example
	if _, err := strconv.Atoi(it.text); err == nil && r.at <= r.end && wantsDigit(r.text[r.at:r.end]) {
		hint = "decimals have a point, as in 0.8"
	}
	return r.fault(it.at, fmt.Sprintf("found %q, %s", it.text, want), hint)
}

func wantsDigit(rest string) bool { return rest != "" && rest[0] >= '0' && rest[0] <= '9' }

func (r *reader) layer() (l Layer, err error) {
	l.at = utf8.RuneCountInString(r.text[:trimmed(r.text, r.at, r.end).at]) + 1
	if err = r.part(&l); err != nil {
		return l, err
	}
	for _, read := range []func(*Layer, item) bool{(*Layer).readWhat, (*Layer).readRate, (*Layer).readLength} {
		it, ok := r.next()
		if !ok || !read(&l, it) {
			return l, r.refuse(it, ok, wants(&l))
		}
	}
	for it, ok := r.next(); ok; it, ok = r.next() {
		if !l.readOption(it) {
			return l, r.refuse(it, true, wantOption)
		}
	}
	return l, nil
}

// wants says what a layer lacks next.
func wants(l *Layer) string {
	switch {
	case l.Most == 0:
		return wantWhat
	case l.Rate == 0:
		return wantRate
	}
	return wantLength
}

// part takes the name of a part, if there is one.
func (r *reader) part(l *Layer) error {
	name, _, aimed := strings.Cut(r.text[r.at:r.end], "=")
	if !aimed {
		return nil
	}
	it := trimmed(r.text, r.at, r.at+len(name))
	if !partForm().MatchString(it.text) {
		return r.fault(it.at, fmt.Sprintf("found %q, %s", it.text, wantPart), `write it like "pad=chords of 4, 2 a second, 0.8 s"`)
	}
	l.Part = it.text
	r.at += len(name) + 1
	return nil
}

func (l *Layer) readWhat(it item) bool {
	if it.text == "notes" {
		l.Least, l.Most = 1, 1
		return true
	}
	m := chordForm().FindStringSubmatch(it.text)
	if m == nil {
		return false
	}
	least, _ := strconv.Atoi(m[1])
	most := least
	if m[2] != "" {
		most, _ = strconv.Atoi(m[2])
	}
	if least < 1 || most < least || most > mostInChord {
		return false
	}
	l.Least, l.Most = least, most
	return true
}

func (l *Layer) readRate(it item) bool {
	m := rateForm().FindStringSubmatch(it.text)
	if m == nil {
		return false
	}
	rate, _ := strconv.ParseFloat(m[1], 64)
	if m[2] == "minute" {
		rate /= 60
	}
	if !(rate > 0 && rate <= mostRate) {
		return false
	}
	l.Rate, l.perMinute = rate, m[2] == "minute"
	return true
}

func (l *Layer) readLength(it item) (ok bool) {
	l.Length, ok = readTime(lengthForm().FindStringSubmatch(it.text))
	return ok
}

// readOption takes an option that the layer does not have yet.
func (l *Layer) readOption(it item) (ok bool) {
	if it.text == "even" {
		was := l.Even
		l.Even = true
		return !was
	}
	if l.Pedal > 0 {
		return false
	}
	l.Pedal, ok = readTime(pedalForm().FindStringSubmatch(it.text))
	return ok
}

// readTime takes a time from what a form has matched: all, number and unit.
func readTime(m []string) (time.Duration, bool) {
	if m == nil {
		return 0, false
	}
	d, err := time.ParseDuration(m[1] + m[2])
	return d, err == nil && d >= leastLength && d <= mostLength
}
