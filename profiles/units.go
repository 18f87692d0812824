package profiles

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// The units of a rig. Each is kept in the unit of its name.
type (
	// Volts are volts against ground.
	Volts float64
	// VoltsPeakToPeak are volts from the lowest to the highest point.
	VoltsPeakToPeak float64
	// Ohms are ohms.
	Ohms float64
	// Hertz are cycles per second.
	Hertz float64
	// Cents are hundredths of a semitone.
	Cents float64
	// Decibels are 20·log10 of a ratio of amplitudes.
	Decibels float64
	// Amperes are amperes.
	Amperes float64
	// Share is a part of a whole, 0–1; a rig writes it in per cent.
	Share float64
	// Duration is a time.Duration.
	Duration = time.Duration
)

// spelling is one way of writing a quantity: 10^exp of what values are kept in.
type spelling struct {
	name  string
	exp   int
	alike []string // further spellings
}

// unitSet is a quantity with its units, the usual one first.
type unitSet struct {
	what  string // with its article
	units []spelling
}

// The quantities of the grammar. Times are kept in nanoseconds.
var (
	times       = &unitSet{"a time", []spelling{{"ms", 6, nil}, {"s", 9, nil}, {"µs", 3, []string{"us", "μs"}}}}
	resistances = &unitSet{"a resistance", []spelling{
		{"kohm", 3, []string{"kΩ", "k\u2126"}}, {"ohm", 0, []string{"Ω", "\u2126"}}, {"Mohm", 6, []string{"MΩ", "M\u2126"}}}}
	frequencies = &unitSet{"a frequency", []spelling{{"Hz", 0, nil}, {"kHz", 3, nil}}}
	voltages    = &unitSet{"a voltage", []spelling{{"V", 0, nil}, {"mV", -3, nil}}}
	swings      = &unitSet{"a peak-to-peak voltage", []spelling{{"Vpp", 0, nil}, {"mVpp", -3, nil}}}
	octaves     = &unitSet{"a scale", []spelling{{"V/oct", 0, nil}}}
	intervals   = &unitSet{"an interval", []spelling{{"cents", 0, []string{"cent"}}}}
	gains       = &unitSet{"a level", []spelling{{"dB", 0, nil}}}
	currents    = &unitSet{"a current", []spelling{{"A", 0, nil}, {"mA", -3, nil}}}
	shares      = &unitSet{"a share", []spelling{{"%", -2, nil}}}
)

var everyUnit = []*unitSet{
	times, resistances, frequencies, voltages, swings, octaves, intervals, gains, currents, shares,
}

// find returns the unit of that name.
func (s *unitSet) find(name string) (spelling, bool) {
	for _, u := range s.units {
		if u.name == name {
			return u, true
		}
		for _, alike := range u.alike {
			if alike == name {
				return u, true
			}
		}
	}
	return spelling{}, false
}

// quantity is a number with a unit, from min to max; its values are T, in the
// unit that T is kept in. Values of integer types are rounded to the nearest.
type quantity[T ~float64 | ~int64] struct {
	set      *unitSet
	min, max string // as they would be written
	usual    string // the unit to write where none was
	bare     string // the unit of a number without one; empty where that is a fault
}

func (q quantity[T]) wants() string {
	return q.set.what + " from " + q.min + " to " + q.max
}

func (q quantity[T]) parse(_ *reader, w written) (any, *complaint) {
	v, c := q.measure(w)
	if c != nil {
		return nil, c
	}
	if v < q.limit(q.min) || v > q.limit(q.max) {
		return nil, complain("found %s, want %s", quote(w.text), q.wants())
	}
	if isWhole[T]() {
		v = math.Round(v)
	}
	return T(v), nil
}

// isWhole tells whether T is an integer type.
func isWhole[T ~float64 | ~int64]() bool { return T(1)/2 == 0 }

// limit returns a limit of the table as a number.
func (q quantity[T]) limit(text string) float64 {
	v, c := q.measure(written{text: text})
	if c != nil {
		panic("bug in the grammar: " + c.message)
	}
	return v
}

// measure returns the number in the unit that values are kept in.
func (q quantity[T]) measure(w written) (float64, *complaint) {
	text := tidy(w.text)
	num, name := splitUnit(text)
	if num == "" {
		return 0, complain("found %s, want %s", quote(w.text), q.wants()).advise("write it like %s", q.min)
	}
	rest := ""
	if name != "" {
		rest = " " + name
	}
	if c := checkDecimal(num, rest, q.wants()); c != nil {
		return 0, c
	}
	if name == "" && q.bare != "" && !w.quoted {
		name = q.bare
	}
	u, ok := q.set.find(name)
	if !ok {
		return 0, q.wrongUnit(w.text, num, name)
	}
	v, err := strconv.ParseFloat(num+"e"+strconv.Itoa(u.exp), 64)
	if err != nil {
		return 0, complain("found %s, want %s", quote(w.text), q.wants())
	}
	return v, nil
}

// wrongUnit complains of a unit that is missing, unknown or of something else.
func (q quantity[T]) wrongUnit(text, num, name string) *complaint {
	if name == "" {
		return complain("%s has no unit, want %s", quote(text), q.wants()).advise("write %s %s", num, q.usual)
	}
	for _, u := range q.set.units {
		if strings.EqualFold(u.name, name) {
			return complain("found %s, want %s", quote(text), q.wants()).advise("write %s %s", num, u.name)
		}
	}
	for _, set := range everyUnit {
		if _, ok := set.find(name); ok {
			return complain("found %s, %s, want %s", quote(text), set.what, q.wants())
		}
	}
	names := make([]string, 0, len(q.set.units))
	for _, u := range q.set.units {
		names = append(names, u.name)
	}
	return complain("found %s, want %s", quote(text), q.wants()).
		advise("the unit may be %s", strings.Join(names, ", "))
}

// splitUnit cuts a text behind the characters that may be in a number.
func splitUnit(text string) (num, name string) {
	end := len(text)
	for i, c := range text {
		if (c < '0' || c > '9') && c != '.' && c != ',' && !(i == 0 && (c == '+' || c == '-')) {
			end = i
			break
		}
	}
	return text[:end], strings.TrimSpace(text[end:])
}

// between is a quantity from min to max, both as they would be written.
func between[T ~float64 | ~int64](set *unitSet, min, max string) quantity[T] {
	return quantity[T]{set: set, min: min, max: max, usual: set.units[0].name}
}

// in sets the unit that is advised where none was written.
func (q quantity[T]) in(usual string) quantity[T] {
	q.usual = usual
	return q
}

// orBare allows a number without a unit, which then has this one.
func (q quantity[T]) orBare(unit string) quantity[T] {
	q.bare, q.usual = unit, unit
	return q
}
