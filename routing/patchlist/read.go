package patchlist

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// The most that a table may ask for, as rig files have it.
const (
	mostBanks  = 1024
	mostInBank = 1024
	mostVoices = 4096
	mostBoxes  = 64
)

// Read reads a table of at most [profiles.MaxBytes]. The error says why nothing of
// it could be read; what is wrong with single cells stands in the list.
func Read(data []byte) (*List, error) {
	text, err := decoded(data)
	if err != nil {
		return nil, err
	}
	var best columns
	var all []row
	var wrong error
	most := 0
	for _, comma := range []rune{',', ';', '\t', '|'} {
		found, err := rows(text, comma)
		if err != nil {
			wrong = cmp.Or(wrong, err)
			continue
		}
		if c, n := findHeads(found); n > most {
			best, all, most = c, found, n
		}
	}
	if most == 0 {
		return nil, cmp.Or(wrong, fmt.Errorf("no row of heads in the first %d rows, want heads such as bank, voice, pitch jack and gate jack", mostTitles))
	}
	r := &reader{columns: best, heads: &all[best.row], List: &List{Heads: best.said(&all[best.row])},
		banks: map[string]int{}, boxes: map[string]int{}, voices: map[[2]int]*voiceAt{}}
	for i := range all[best.row+1:] {
		r.read(&all[best.row+1+i])
	}
	return r.finished()
}

// reader reads the rows of a table.
type reader struct {
	columns
	*List
	heads  *row
	bank   string              // of the row above
	titled bool                // and that row was its title
	filled []rowsOf            // empty cells of banks, by the bank of the row above
	banks  map[string]int      // by cell
	boxes  map[string]int      // by cell, in small letters
	voices map[[2]int]*voiceAt // by bank and number
	plain  bool                // numbers of voices came from plain numbers
	named  bool                // and from names or positions
	order  []*voiceAt
	states []stated
	names  []string // of banks, by what voices have
	both   bool     // one jack is pitch and gate
}

// rowsOf are the rows of a bank, or of something else that has a name.
type rowsOf struct {
	name string
	rows []int
}

// stated is what a row says of the state of a voice.
type stated struct {
	*voiceAt
	state  string
	keys   *alloc.KeyRange
	remark string
}

func (r *reader) get(x *row, f field) string { return x.cell(r.at[f]) }

// refuse records that a cell could not be read.
func (r *reader) refuse(x *row, f field, err error) {
	column, head := -1, ""
	if f != none {
		column, head = r.at[f], r.heads.cell(r.at[f])
	}
	r.Cells = append(r.Cells, Cell{x.number, column, unit.Printable(head), err.Error()})
}

func (r *reader) say(format string, args ...any) {
	r.Said = append(r.Said, fmt.Sprintf(format, args...))
}

// read reads one row.
func (r *reader) read(x *row) {
	switch kind := r.get(x, rowKind); {
	case slices.Equal(x.cells, r.heads.cells): // on a further page
	case kind == "rig":
		r.Name = r.get(x, lane)
	case kind == "spare":
		r.spare(x)
	case r.byJack():
		r.jackRow(x)
	default:
		for _, one := range r.spread(x) {
			r.voiceRow(&one)
		}
	}
}

// byJack tells whether the table has a row a jack.
func (r *reader) byJack() bool { return !r.has(pitch) && !r.has(gate) }

// boxOf is the interface of a row, or of a jack that names one.
func (r *reader) boxOf(x *row, named string) (int, bool) {
	text := cmp.Or(named, r.get(x, box), "main")
	if at, ok := r.boxes[strings.ToLower(text)]; ok {
		return at, true
	}
	called := cmp.Or(plainName(text), "box")
	if cable(called) {
		called += "-box"
	}
	for base, n := called, 2; slices.ContainsFunc(r.Boxes, func(b Box) bool { return b.Name == called }); n++ {
		called = fmt.Sprintf("%s-%d", base, n)
	}
	if len(r.Boxes) == mostBoxes {
		r.refuse(x, box, fmt.Errorf("found %s, want at most %d interfaces", quote(text), mostBoxes))
		return 0, false
	}
	r.boxes[strings.ToLower(text)] = len(r.Boxes)
	r.Boxes = append(r.Boxes, Box{Name: called})
	return len(r.Boxes) - 1, true
}

// jackOf reads a jack. Gate is what the column or the input says it is.
func (r *reader) jackOf(x *row, f field, gate bool) (Jack, bool) {
	text := r.get(x, f)
	j, err := readJack(text)
	if err == nil && (j.kind == "gate") != gate && j.kind != "" {
		err = fmt.Errorf("found %s, want a %s", quote(text), map[bool]string{true: "gate jack", false: "CV jack"}[gate])
	}
	if err != nil {
		r.refuse(x, f, err)
		return Jack{}, false
	}
	at, ok := r.boxOf(x, j.box)
	if !ok {
		return Jack{}, false
	}
	b := &r.Boxes[at]
	switch {
	case strings.HasPrefix(strings.ToLower(r.get(x, kind)), "out"):
		b.Outputs = max(b.Outputs, j.number)
	case gate:
		b.Gates = max(b.Gates, j.number)
	default:
		b.CV = max(b.CV, j.number)
	}
	r.boxFacts(b, x, j.number)
	return Jack{Box: at, Gate: gate, Number: j.number, Row: x.number, Column: r.at[f]}, true
}

// boxFacts takes from a row what it says of its interface.
func (r *reader) boxFacts(b *Box, x *row, number int) {
	connectorNumber, err1 := whole(r.get(x, connector), 2, mostJacks)
	at, err2 := whole(r.get(x, place), 1, 128)
	if err1 == nil && err2 == nil && (number-at)%(connectorNumber-1) == 0 {
		b.Connector = (number - at) / (connectorNumber - 1)
	}
	if n, err := whole(r.get(x, port), 1, 128); err == nil {
		b.Ports = max(b.Ports, n)
	}
	if n, err := whole(r.get(x, zeroKey), 0, 127); err == nil {
		b.ZeroKey = &n
	}
	b.Audio = b.Audio || strings.HasPrefix(r.get(x, message), "audio ")
	for _, pair := range [][2]field{{lowKey, lowVolts}, {highKey, highVolts}} {
		key, err1 := whole(r.get(x, pair[0]), 0, 127)
		v, err2 := decimal(r.get(x, pair[1]))
		if err1 == nil && err2 == nil && -20 <= v && v <= 20 {
			b.volts = append(b.volts, keyVolts{key, v})
		}
	}
}

// spare is a jack that is free.
func (r *reader) spare(x *row) {
	gate := strings.EqualFold(r.get(x, kind), "gate")
	if j, ok := r.jackOf(x, jack, gate); ok {
		r.Boxes[j.Box].Exact = true
	}
}

// bankOf is the bank of a name.
func (r *reader) bankOf(x *row, f field, text string) (int, bool) {
	if at, ok := r.banks[text]; ok {
		return at, true
	}
	taken := func(name string) bool {
		return slices.ContainsFunc(r.Banks, func(b Bank) bool { return b.Name == name })
	}
	called := plainName(withoutWord(text, "bank", "group"))
	if called == "" || endsInDigit(called) || cable(called) || taken(called) {
		for i := 0; ; i++ {
			if called = profiles.BankName(i); !taken(called) {
				break
			}
		}
		r.say("Bank %s is called %s here: a bank's name begins with a letter and ends in no digit.", quote(text), called)
	}
	if len(r.Banks) == mostBanks {
		r.refuse(x, f, fmt.Errorf("found %s, want at most %d banks", quote(text), mostBanks))
		return 0, false
	}
	r.banks[text] = len(r.Banks)
	r.Banks = append(r.Banks, Bank{Name: called})
	return len(r.Banks) - 1, true
}

// voiceOf finds the voice of a row by its cells for bank, position and voice; fresh
// is false where a row above had it.
func (r *reader) voiceOf(x *row) (v *voiceAt, fresh, ok bool) {
	f := voice
	for _, other := range []field{position, name} {
		if r.get(x, other) != "" {
			f = other
			break
		}
	}
	text, of := r.get(x, f), r.get(x, bank)
	of = cmp.Or(of, r.bank)
	number := 0
	if text == "" && r.has(f) {
		if r.byJack() {
			r.refuse(x, f, errors.New("the voice is missing, want its number or its name, such as 3 or K3"))
			return nil, false, false
		}
		number = -x.number // until all rows are read
	}
	if text != "" {
		m := voiceForm().FindStringSubmatch(withoutWord(text, "voice", "vox", "osc", "no", "nr", "v"))
		if m == nil {
			r.refuse(x, f, fmt.Errorf("found %s, want a number or a voice such as K3", quote(text)))
			return nil, false, false
		}
		n, err := whole(m[2], 1, mostVoices)
		if err != nil {
			r.refuse(x, f, err)
			return nil, false, false
		}
		number = n
		if m[1] == "" && f == voice {
			r.plain = true
		} else {
			r.named = true
		}
		if !r.has(bank) || of == "" {
			of = m[1]
		}
	}
	at, ok := r.bankOf(x, bank, cmp.Or(of, "K"))
	if !ok {
		return nil, false, false
	}
	if number == 0 { // no column for it: the next
		for number = 1; r.voices[[2]int{at, number}] != nil; number++ {
		}
	}
	key := [2]int{at, number}
	if v := r.voices[key]; v != nil {
		return v, false, true
	}
	v = &voiceAt{bank: at, number: number, row: x.number}
	r.voices[key] = v
	r.order = append(r.order, v)
	return v, true, true
}

// spread makes one row per voice of one that has several: voices 1-4 on jacks 5-8. A jack
// that is no such range stays one for all.
func (r *reader) spread(x *row) []row {
	low, high, ok := numbers(r.get(x, voice))
	if !ok || cmp.Or(r.get(x, bank), r.bank) == "" || high-low >= mostInBank {
		return []row{*x}
	}
	all := make([]row, high-low+1)
	for i := range all {
		all[i] = row{x.number, slices.Clone(x.cells)}
		all[i].cells[r.at[voice]] = strconv.Itoa(low + i)
		for _, f := range []field{pitch, gate, channel} {
			if first, last, ok := numbers(r.get(x, f)); ok && last-first == high-low {
				all[i].cells[r.at[f]] = strconv.Itoa(first + i)
			}
		}
	}
	return all
}

// fill notes that a row has the bank of the row above.
func (r *reader) fill(x *row) {
	for i := range r.filled {
		if b := &r.filled[i]; b.name == r.bank {
			if !slices.Contains(b.rows, x.number) {
				b.rows = append(b.rows, x.number)
			}
			return
		}
	}
	r.filled = append(r.filled, rowsOf{r.bank, []int{x.number}})
}

// voiceRow reads a row of a table that has one row per voice.
func (r *reader) voiceRow(x *row) {
	rest := false
	for _, f := range []field{voice, position, name, pitch, gate, jack} {
		rest = rest || !nothing(r.get(x, f))
	}
	if of := r.get(x, bank); of != "" {
		r.bank, r.titled = of, !rest
	} else if rest && r.has(bank) && r.bank != "" && !r.titled {
		r.fill(x)
	}
	if !rest {
		return // the title of a bank, or a line of remarks
	}
	v, fresh, ok := r.voiceOf(x)
	if !ok {
		return
	}
	if !fresh {
		r.refuse(x, none, fmt.Errorf("this voice stands in row %d already, so this row is left out", v.row))
		return
	}
	for _, f := range []field{pitch, gate} {
		if nothing(r.get(x, f)) {
			continue
		}
		if j, ok := r.jackOf(x, f, f == gate); ok {
			j.Target, j.voice, j.said = map[bool]string{true: "gate", false: "pitch"}[f == gate], v, r.address(x)
			r.Jacks = append(r.Jacks, j)
		}
	}
	r.stateOf(x, v, true)
}

// address is the port and the channel of a row, or nil.
func (r *reader) address(x *row) *address {
	a := &address{row: x.number, column: r.at[channel]}
	for _, f := range []struct {
		field
		most int
		to   *int
	}{{channel, 16, &a.channel}, {port, 128, &a.port}} {
		text := r.get(x, f.field)
		if nothing(text) {
			continue
		}
		n, err := whole(withoutWord(text, "channel", "ch", "port", "midi"), 1, f.most)
		if err != nil {
			r.refuseOnce(x, f.field, err)
			continue
		}
		*f.to = n
	}
	if a.channel == 0 {
		return nil
	}
	return a
}

// refuseOnce is for a cell that is read for several jacks.
func (r *reader) refuseOnce(x *row, f field, err error) {
	if !slices.ContainsFunc(r.Cells, func(c Cell) bool { return c.Row == x.number && c.Column == r.at[f] }) {
		r.refuse(x, f, err)
	}
}

// stateOf reads the state of a voice, its keys and what is remarked about it.
func (r *reader) stateOf(x *row, v *voiceAt, ranges bool) {
	s := stated{voiceAt: v, remark: r.get(x, remark)}
	if text := r.get(x, state); !nothing(text) {
		var err error
		if s.state, err = readState(text); err != nil {
			r.refuseOnce(x, state, err)
		}
	}
	text, f := r.get(x, keys), keys
	if low, high := r.get(x, lowKey), r.get(x, highKey); nothing(text) && ranges && low != "" && high != "" {
		text, f = low+"-"+high, lowKey
	}
	if !nothing(text) {
		k, err := profiles.ReadKeys(text)
		if err != nil {
			r.refuseOnce(x, f, err)
		} else if k != allKeys {
			s.keys = &k
		}
	}
	r.states = append(r.states, s)
}
