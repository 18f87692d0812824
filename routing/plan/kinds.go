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
	at   string // what a value is aimed at, if at no part
}

// aim is what a value is aimed at.
func (k *kind[T]) aim() string {
	if k.at != "" {
		return k.at
	}
	return "part"
}

// The kinds of overrides that are aimed at parts.
var (
	voicesKind  = kind[int]{flag: "--voices", parse: parseVoices, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Voices }}
	moreKind    = kind[int]{flag: "--more", parse: parseMore, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.More }}
	buyKind     = kind[Buy]{flag: "--buy", parse: parseBuy, print: Buy.String, of: func(o *Overrides) *[]For[Buy] { return &o.Buy }}
	banksKind   = kind[Seats]{flag: "--banks", parse: parseSeats, print: Seats.String, of: func(o *Overrides) *[]For[Seats] { return &o.Banks }, code: Seats.code}
	reserveKind = kind[int]{flag: "--reserve", parse: parseReserve, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Reserve }}
	limitKind   = kind[int]{flag: "--limit", parse: parseLimit, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Limit }}
	rankKind    = kind[int]{flag: "--priority", parse: parsePriority, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Priority }}
	modeKind    = kind[profiles.Mode]{flag: "--mode", parse: parseMode, print: profiles.Mode.String, of: func(o *Overrides) *[]For[profiles.Mode] { return &o.Mode }}
	shortKind   = kind[profiles.WhenShort]{flag: "--when-short", parse: parseShort, print: profiles.WhenShort.String, of: func(o *Overrides) *[]For[profiles.WhenShort] { return &o.WhenShort }}
	unisonKind  = kind[int]{flag: "--unison", parse: parseUnison, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Unison }}
	releaseKind = kind[time.Duration]{flag: "--release", parse: parseRelease, print: TypedTime, of: func(o *Overrides) *[]For[time.Duration] { return &o.Release }, code: inSeconds}
	pickKind    = kind[Pick]{flag: "--pick", parse: parsePick, print: Pick.String, of: func(o *Overrides) *[]For[Pick] { return &o.Pick }}
	stealKind   = kind[alloc.StealRule]{flag: "--steal", parse: parseSteal, print: alloc.StealRule.String, of: func(o *Overrides) *[]For[alloc.StealRule] { return &o.Steal }}
	tailsKind   = kind[bool]{flag: "--tails", parse: tails.parse, print: tails.print, of: func(o *Overrides) *[]For[bool] { return &o.Tails }}
	sameKeyKind = kind[alloc.SameKey]{flag: "--same-key", parse: parseSameKey, print: alloc.SameKey.String, of: func(o *Overrides) *[]For[alloc.SameKey] { return &o.SameKey }}
	shiftKind   = kind[int]{flag: "--transpose", parse: parseTranspose, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.Transpose }}
	zeroKind    = kind[int]{flag: "--zero-key", parse: parseZeroKey, print: strconv.Itoa, of: func(o *Overrides) *[]For[int] { return &o.ZeroKey }, at: "interface"}
	trimKind    = kind[Sooner]{flag: "--trim", parse: parseTrim, print: Sooner.String, of: func(o *Overrides) *[]For[Sooner] { return &o.Trim }, code: Sooner.code}
	liftKind    = kind[Sooner]{flag: "--lift", parse: parseLift, print: Sooner.String, of: func(o *Overrides) *[]For[Sooner] { return &o.Lift }, code: Sooner.code}
	shortenKind = kind[Sooner]{flag: "--shorten", parse: parseShorten, print: Sooner.String, of: func(o *Overrides) *[]For[Sooner] { return &o.Shorten }, code: Sooner.code}
	doublesKind = kind[bool]{flag: "--doubles", parse: doubles.parse, print: doubles.print, of: func(o *Overrides) *[]For[bool] { return &o.Doubles }}
)

// anyKind is a kind of override, whatever its values are.
type anyKind interface {
	name() string
	word(typed string) (Word, error) // as it stands after the flag
	add(o *Overrides, w Word) error  // reads a value
	words(o *Overrides) []Word
	codes(o *Overrides) []Word // as they count for the plan code
	stack(o, top *Overrides)   // see [Overrides.With]
}

// kinds are all, in the order in which they are told.
var kinds = []anyKind{&voicesKind, outKind{}, &moreKind, &buyKind, &banksKind, &reserveKind, &limitKind, &rankKind, &modeKind, &unisonKind, &shortKind, &releaseKind,
	&pickKind, &stealKind, &tailsKind, &sameKeyKind, &shiftKind, &zeroKind, &trimKind, &liftKind, &shortenKind, &doublesKind}

// Word is one override as it is written.
type Word struct{ Flag, Part, Value string }

// Kind names the kind of override where there are no flags: "same_key".
func (w Word) Kind() string { return strings.ReplaceAll(strings.TrimPrefix(w.Flag, "--"), "-", "_") }

// WordOf is the inverse of [Word.Kind]: an override of a kind.
func WordOf(kind, part, value string) Word {
	return Word{"--" + strings.ReplaceAll(kind, "_", "-"), part, value}
}

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
func ParseFlags(typed []string) (o Overrides, err error) {
	if n := len(typed) / 2; n > maxFlags {
		return o, fmt.Errorf("%d overrides, want at most %d", n, maxFlags)
	}
	for i := 0; i < len(typed); i += 2 {
		if _, err = kindOf(typed[i]); err == nil && i+1 == len(typed) {
			err = fmt.Errorf("%s: it needs a value", typed[i])
		}
		if err == nil {
			err = o.Add(typed[i], typed[i+1])
		}
		if err != nil {
			return Overrides{}, err
		}
	}
	return o, nil
}

// ParseWords reads overrides one by one. It is the inverse of [Overrides.Words];
// its errors are those of [ParseFlags].
func ParseWords(words []Word) (o Overrides, err error) {
	if n := len(words); n > maxFlags {
		return o, fmt.Errorf("%d overrides, want at most %d", n, maxFlags)
	}
	for _, w := range words {
		k, err := kindOf(w.Flag)
		if err == nil {
			err = k.add(&o, w)
		}
		if err != nil {
			return Overrides{}, err
		}
	}
	return o, nil
}

// kindOf is the kind with a flag.
func kindOf(flag string) (anyKind, error) {
	switch at := slices.IndexFunc(kinds, func(k anyKind) bool { return k.name() == flag }); {
	case at >= 0:
		return kinds[at], nil
	case flag == "--out":
		return nil, fmt.Errorf("--out: that is where live writes; a voice is left out by --without")
	}
	return nil, fmt.Errorf("%s: there is no such override", flag)
}

// MustParse is [ParseFlags] of words that are known to be right.
func MustParse(words ...string) Overrides {
	o, err := ParseFlags(words)
	if err != nil {
		panic("bug: " + err.Error())
	}
	return o
}

// Add reads a value of the override with a flag, as in "--pick". A value that is
// none of its kind is an *[OverrideError].
func (o *Overrides) Add(flag, typed string) error {
	k, err := kindOf(flag)
	if err != nil {
		return err
	}
	w, err := k.word(typed)
	if err != nil {
		return err
	}
	return k.add(o, w)
}

func (k *kind[T]) name() string { return k.flag }

func (k *kind[T]) word(typed string) (Word, error) {
	part, text, aimed := strings.Cut(typed, "=")
	if !aimed {
		return Word{Flag: k.flag, Value: typed}, nil
	}
	if part = strings.TrimSpace(part); part == "" {
		return Word{}, &OverrideError{k.flag, typed, fmt.Sprintf(`found no %s before "="`, k.aim()), "leave = out for every " + k.aim(), false}
	}
	return Word{k.flag, part, text}, nil
}

func (k *kind[T]) add(o *Overrides, w Word) error {
	value, message, hint := k.parse(strings.TrimSpace(w.Value))
	if message != "" {
		return &OverrideError{k.flag, w.Typed(), message, hint, false}
	}
	*k.of(o) = append(*k.of(o), For[T]{w.Part, value})
	return nil
}

// written writes a value.
func (k *kind[T]) written(v For[T]) Word { return Word{k.flag, v.Part, k.print(v.Value)} }

func (k *kind[T]) words(o *Overrides) (words []Word) {
	for _, v := range *k.of(o) {
		words = append(words, k.written(v))
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
		typed[i] = k.written(v).Typed()
	}
	return &OverrideError{k.flag, strings.Join(typed, " "), message, hint, false}
}

// unknown says that a value names what is not there.
func (k *kind[T]) unknown(message, hint string, v For[T]) error {
	return &OverrideError{k.flag, k.written(v).Typed(), message, hint, true}
}

// outKind are the voices that are out: a value each, and none is aimed at a part.
type outKind struct{}

func (outKind) name() string { return "--without" }

func (k outKind) word(typed string) (Word, error) { return Word{Flag: k.name(), Value: typed}, nil }

func (outKind) add(o *Overrides, w Word) error {
	names, _, _ := parseNames(w.Typed())
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
