package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/profiles"
)

// kind is a kind of override: its flag, how a value of it is read and written,
// and where it stands.
type kind[T any] struct {
	flag  string
	parse func(text string) (value T, message, hint string) // the message is empty if it could
	print func(T) string
	of    func(*Overrides) *[]For[T]
	// code writes a value into the plan code, where that goes by less than print
	// says, or by more; nil else.
	code func(T) string
}

// The kinds of overrides that are aimed at parts.
var (
	voicesKind  = kind[int]{flag: "--voices", parse: parseVoices, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Voices }}
	moreKind    = kind[int]{flag: "--more", parse: parseMore, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.More }}
	banksKind   = kind[[]string]{"--banks", parseNames, printNames, func(o *Overrides) *[]For[[]string] { return &o.Banks }, sortedNames}
	reserveKind = kind[int]{flag: "--reserve", parse: parseReserve, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Reserve }}
	limitKind   = kind[int]{flag: "--limit", parse: parseLimit, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Limit }}
	rankKind    = kind[int]{flag: "--priority", parse: parsePriority, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Priority }}
	modeKind    = kind[profiles.Mode]{flag: "--mode", parse: parseMode, print: profiles.Mode.String, of: func(o *Overrides) *[]For[profiles.Mode] { return &o.Mode }}
	shortKind   = kind[profiles.WhenShort]{flag: "--when-short", parse: parseShort, print: profiles.WhenShort.String, of: func(o *Overrides) *[]For[profiles.WhenShort] { return &o.WhenShort }}
	unisonKind  = kind[int]{flag: "--unison", parse: parseUnison, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Unison }}
	releaseKind = kind[time.Duration]{"--release", parseRelease, TypedTime, func(o *Overrides) *[]For[time.Duration] { return &o.Release }, inSeconds}
	pickKind    = kind[Pick]{flag: "--pick", parse: parsePick, print: Pick.String, of: func(o *Overrides) *[]For[Pick] { return &o.Pick }}
	stealKind   = kind[alloc.StealRule]{flag: "--steal", parse: parseSteal, print: alloc.StealRule.String, of: func(o *Overrides) *[]For[alloc.StealRule] { return &o.Steal }}
	tailsKind   = kind[bool]{flag: "--tails", parse: tails.parse, print: tails.print, of: func(o *Overrides) *[]For[bool] { return &o.Tails }}
	sameKeyKind = kind[alloc.SameKey]{flag: "--same-key", parse: parseSameKey, print: alloc.SameKey.String, of: func(o *Overrides) *[]For[alloc.SameKey] { return &o.SameKey }}
	trimKind    = kind[time.Duration]{"--trim", parseTrim, TypedTime, func(o *Overrides) *[]For[time.Duration] { return &o.Trim }, inSeconds}
	liftKind    = kind[time.Duration]{"--lift", parseLift, TypedTime, func(o *Overrides) *[]For[time.Duration] { return &o.Lift }, inSeconds}
	doublesKind = kind[bool]{flag: "--doubles", parse: doubles.parse, print: doubles.print, of: func(o *Overrides) *[]For[bool] { return &o.Doubles }}
)

// anyKind is a kind of override, whatever its values are.
type anyKind interface {
	name() string
	read(o *Overrides, typed string) error // adds a value
	words(o *Overrides) []Word
	codes(o *Overrides) []Word // as they count for the plan code
	stack(o, top *Overrides)   // see [Overrides.With]
}

// kinds are all, in the order in which they are told.
var kinds = []anyKind{&voicesKind, outKind{}, &moreKind, &banksKind, &reserveKind, &limitKind, &rankKind, &modeKind, &unisonKind, &shortKind, &releaseKind,
	&pickKind, &stealKind, &tailsKind, &sameKeyKind, &trimKind, &liftKind, &doublesKind}

// Word is one override as it is written.
type Word struct{ Flag, Part, Value string }

// Typed is what stands after the flag.
func (w Word) Typed() string {
	if w.Part == "" {
		return w.Value
	}
	return w.Part + "=" + w.Value
}

// Words returns the overrides in the one way in which they are written, kind by kind.
func (o Overrides) Words() (words []Word) {
	for _, k := range kinds {
		words = append(words, k.words(&o)...)
	}
	return words
}

// Flags returns the overrides as they are typed: a flag and its value, in turn.
func (o Overrides) Flags() (typed []string) {
	for _, w := range o.Words() {
		typed = append(typed, w.Flag, w.Typed())
	}
	return typed
}

// maxFlags is how many overrides are read.
const maxFlags = 1000

// ParseFlags reads overrides as they are typed: a flag and its value, in turn.
// It is the inverse of [Overrides.Flags]. A value that is none of its kind is an
// *[OverrideError]; which parts, banks and voices there are is not looked at.
func ParseFlags(words []string) (o Overrides, err error) {
	if n := len(words) / 2; n > maxFlags {
		return o, fmt.Errorf("%d overrides, want at most %d", n, maxFlags)
	}
	for i := 0; i < len(words); i += 2 {
		at := slices.IndexFunc(kinds, func(k anyKind) bool { return k.name() == words[i] })
		switch {
		case words[i] == "--out":
			return Overrides{}, fmt.Errorf("--out: that is where live writes; a voice is left out by --without")
		case at < 0:
			return Overrides{}, fmt.Errorf("%s: there is no such override", words[i])
		case i+1 == len(words):
			return Overrides{}, fmt.Errorf("%s: it needs a value", words[i])
		}
		if err := kinds[at].read(&o, words[i+1]); err != nil {
			return Overrides{}, err
		}
	}
	return o, nil
}

// MustParse is [ParseFlags] of words that are known to be right.
func MustParse(words ...string) Overrides {
	o, err := ParseFlags(words)
	if err != nil {
		panic("bug: " + err.Error())
	}
	return o
}

// Add reads a value of the override with a flag, as in "--pick". The error is an
// *[OverrideError].
func (o *Overrides) Add(flag, typed string) error {
	at := slices.IndexFunc(kinds, func(k anyKind) bool { return k.name() == flag })
	return kinds[at].read(o, typed)
}

func (k *kind[T]) name() string { return k.flag }

func (k *kind[T]) read(o *Overrides, typed string) error {
	part, text, aimed := strings.Cut(typed, "=")
	if !aimed {
		part, text = "", typed
	}
	v := For[T]{Part: strings.TrimSpace(part)}
	if aimed && v.Part == "" {
		return &OverrideError{k.flag, typed, `found no part before "="`, "leave = out for every part"}
	}
	var message, hint string
	if v.Value, message, hint = k.parse(strings.TrimSpace(text)); message != "" {
		return &OverrideError{k.flag, typed, message, hint}
	}
	*k.of(o) = append(*k.of(o), v)
	return nil
}

// word writes a value.
func (k *kind[T]) word(v For[T]) Word { return Word{k.flag, v.Part, k.print(v.Value)} }

func (k *kind[T]) words(o *Overrides) (words []Word) {
	for _, v := range *k.of(o) {
		words = append(words, k.word(v))
	}
	return words
}

func (k *kind[T]) codes(o *Overrides) []Word {
	words := k.words(o)
	if k.code != nil {
		for i, v := range *k.of(o) {
			words[i].Value = k.code(v.Value)
		}
	}
	return words
}

// refuse says what is wrong with values of a kind that read well.
func (k *kind[T]) refuse(message, hint string, values ...For[T]) error {
	typed := make([]string, len(values))
	for i, v := range values {
		typed[i] = k.word(v).Typed()
	}
	return &OverrideError{k.flag, strings.Join(typed, " "), message, hint}
}

// outKind are the voices that are out: a value each, and none is aimed at a part.
type outKind struct{}

func (outKind) name() string { return "--without" }

func (outKind) read(o *Overrides, typed string) error {
	names, _, _ := parseNames(typed)
	o.Without = append(o.Without, names...)
	return nil
}

func (k outKind) words(o *Overrides) (words []Word) {
	for _, name := range o.Without {
		words = append(words, Word{Flag: k.name(), Value: name})
	}
	return words
}

func (k outKind) codes(o *Overrides) []Word { return k.words(o) }

func (outKind) stack(o, top *Overrides) { o.Without = slices.Concat(o.Without, top.Without) }
