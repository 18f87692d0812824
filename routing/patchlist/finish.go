package patchlist

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// finished gives voices their positions, and banks what their voices say.
func (r *reader) finished() (*List, error) {
	if len(r.order) == 0 && len(r.Cells) > 0 {
		return nil, fmt.Errorf("no voice could be read: %s", r.Cells[0])
	}
	if len(r.order) == 0 {
		return nil, fmt.Errorf("no voice under the heads in row %d, want a row for each", r.heads.number)
	}
	r.unnumbered()
	r.running()
	r.positions()
	r.filledBanks()
	r.headless()
	total := 0
	for i := range r.Banks {
		r.names = append(r.names, r.Banks[i].Name)
		total += r.Banks[i].Voices
	}
	if total > mostVoices {
		return nil, fmt.Errorf("found %d voices, want at most %d", total, mostVoices)
	}
	r.Banks = slices.DeleteFunc(r.Banks, func(b Bank) bool { return b.Voices == 0 })
	if len(r.Banks) == 0 {
		return nil, fmt.Errorf("no voice could be read: %s", r.Cells[0])
	}
	r.apply()
	r.targets()
	r.separate()
	r.farJacks()
	r.without()
	slices.SortStableFunc(r.Cells, func(a, b Cell) int { return a.Row - b.Row })
	return r.List, nil
}

// unnumbered gives voices whose cell is empty a number that their bank has free: that
// after the voice of the row above, or before that of the row below, or the lowest.
func (r *reader) unnumbered() {
	for i, v := range r.order {
		if v.number > 0 {
			continue
		}
		free := func(n int) bool { return n > 0 && r.voices[[2]int{v.bank, n}] == nil }
		n := 1
		for !free(n) {
			n++
		}
		if i+1 < len(r.order) && r.order[i+1].bank == v.bank && free(r.order[i+1].number-1) {
			n = r.order[i+1].number - 1
		}
		if i > 0 && r.order[i-1].bank == v.bank && free(r.order[i-1].number+1) {
			n = r.order[i-1].number + 1
		}
		v.number = n
		r.voices[[2]int{v.bank, n}] = v
		r.refuse(&row{number: v.row}, voice, fmt.Errorf("the voice is missing, read as voice %d of bank %s", n, r.Banks[v.bank].Name))
	}
}

// filledBanks says which rows have the bank of the row above.
func (r *reader) filledBanks() {
	for _, f := range r.filled {
		rows := "Row " + unit.List(unit.Runs(f.rows))
		if len(f.rows) > 1 {
			rows = "Rows " + unit.List(unit.Runs(f.rows))
		}
		r.say("%s: bank empty, read as %s, as the row above.", rows, r.Banks[r.banks[f.name]].Name)
	}
}

// headless says that nothing tells banks or voices apart, where a head that was not
// read may have meant to.
func (r *reader) headless() {
	if r.named || r.has(rowKind) {
		return
	}
	for _, f := range []field{bank, voice} {
		if r.has(f) || f == voice && r.has(position) || !slices.ContainsFunc(r.Heads, func(h string) bool { return strings.HasSuffix(h, ": not read") }) {
			continue
		}
		does := "all voices stand in bank " + r.Banks[0].Name
		if f == voice {
			does = "voices are counted by row"
		}
		r.Cells = append(r.Cells, Cell{r.heads.number, -1, "", fmt.Sprintf("no head for %s, want one of %s: %s", meaning[f].called, strings.Join(meaning[f].heads[:3], ", "), does)})
	}
}

// farJacks says that a jack is far above all others of its interface: it decides how
// many there are. A connector has eight.
func (r *reader) farJacks() {
	for i := range r.Boxes {
		b := &r.Boxes[i]
		if b.Exact || b.Outputs > 0 {
			continue
		}
		for _, gate := range []bool{false, true} {
			var top, next *Jack
			for k := range r.Jacks {
				switch j := &r.Jacks[k]; {
				case j.Box != i || j.Gate != gate:
				case top == nil || j.Number > top.Number:
					top, next = j, top
				case next == nil || j.Number > next.Number && j.Number < top.Number:
					next = j
				}
			}
			if next != nil && next.Number < top.Number-8 {
				r.say("Row %d has %s, and the next jack below is %d: %s gets all of them, unless it is a slip.", top.Row,
					strings.Replace(top.Name(r.List), ".", " ", 1), next.Number, b.Name)
			}
		}
	}
}

// running turns numbers that run through all banks into positions.
func (r *reader) running() {
	if !r.plain || r.named || len(r.Banks) < 2 {
		return
	}
	low, high := make([]int, len(r.Banks)), make([]int, len(r.Banks))
	for _, v := range r.order {
		if low[v.bank] == 0 || v.number < low[v.bank] {
			low[v.bank] = v.number
		}
		high[v.bank] = max(high[v.bank], v.number)
	}
	for a := range low {
		for b := range a {
			if low[a] <= high[b] && low[b] <= high[a] {
				return
			}
		}
	}
	for _, v := range r.order {
		v.number -= low[v.bank] - 1
	}
	r.say("The numbers of voices run through all banks; in a rig each bank counts from 1.")
}

// positions counts the voices of banks. What has no row is out.
func (r *reader) positions() {
	there := make([]map[int]bool, len(r.Banks))
	for i := range there {
		there[i] = map[int]bool{}
	}
	for _, v := range r.order {
		if v.number > mostInBank {
			r.Cells = append(r.Cells, Cell{v.row, -1, "", fmt.Sprintf("found voice %d of bank %s, want at most %d", v.number, r.Banks[v.bank].Name, mostInBank)})
			continue
		}
		there[v.bank][v.number] = true
		r.Banks[v.bank].Voices = max(r.Banks[v.bank].Voices, v.number)
	}
	var missing []string
	for i := range r.Banks {
		b := &r.Banks[i]
		for n := 1; n <= b.Voices; n++ {
			if !there[i][n] {
				b.Out = append(b.Out, n)
				missing = append(missing, profiles.VoiceName(b.Name, n))
			}
		}
	}
	if len(missing) > 0 {
		r.say("No row for %s, so out of service here.", unit.Several(missing))
	}
}

// apply gives jacks the names of their inputs, and banks the states of their voices.
func (r *reader) apply() {
	byName := map[string]int{}
	for i := range r.Banks {
		byName[r.Banks[i].Name] = i
	}
	bank := func(v *voiceAt) *Bank { return &r.Banks[byName[r.nameOf(v)]] }
	r.Jacks = slices.DeleteFunc(r.Jacks, func(j Jack) bool { return j.voice != nil && j.voice.number > mostInBank })
	for i := range r.Jacks {
		j := &r.Jacks[i]
		if j.voice == nil {
			continue
		}
		b, in := bank(j.voice), j.Target
		if in != "pitch" && in != "gate" && !slices.Contains(b.Inputs, in) {
			b.Inputs = append(b.Inputs, in)
		}
		j.Target = profiles.VoiceName(b.Name, j.voice.number) + "." + in
	}
	var words, stay []string
	for _, s := range r.states {
		if s.number > mostInBank {
			continue
		}
		b, voice := bank(s.voiceAt), profiles.VoiceName(r.nameOf(s.voiceAt), s.number)
		add := func(to *[]int) {
			if !slices.Contains(*to, s.number) {
				*to = append(*to, s.number)
			}
		}
		if s.state == "out" {
			add(&b.Out)
		} else if s.state == "spare" {
			add(&b.Spare)
		}
		if s.keys != nil && !slices.ContainsFunc(b.Limited, func(l Limit) bool { return l.Position == s.number }) {
			b.Limited = append(b.Limited, Limit{s.number, *s.keys})
		}
		if word, ok := soundsOut(s.remark); ok && s.state == "" {
			stay = append(stay, voice)
			if !slices.Contains(words, word) {
				words = append(words, word)
			}
		}
		if s.remark != "" {
			b.Remarks = append(b.Remarks, voice+": "+s.remark)
		}
	}
	if len(stay) > 0 {
		r.say("Remarks on %s say %s, and remarks decide nothing: in service here. A column headed State takes voices out.", unit.Several(stay), unit.List(words))
	}
}

// targets refuses macros, wires and lanes of what is not there.
func (r *reader) targets() {
	voices := map[string]int{}
	for i := range r.Banks {
		voices[r.Banks[i].Name] = r.Banks[i].Voices
	}
	known := func(target string) bool {
		of, in, ok := strings.Cut(target, ".")
		m := voiceForm().FindStringSubmatch(of)
		n := 0
		if voices[of] == 0 && m != nil {
			of = m[1]
			n, _ = whole(m[2], 1, max(1, voices[of]))
			if n == 0 {
				return false
			}
		}
		return ok && voices[of] > 0 && in != "" && plainName(in) == in
	}
	r.Jacks = slices.DeleteFunc(r.Jacks, func(j Jack) bool {
		to := j.Wired
		macro := slices.IndexFunc(r.Macros, func(m Macro) bool { return m.Name == j.Target })
		switch {
		case macro >= 0:
			to = r.Macros[macro].To
		case j.voice == nil && j.Target != "":
			to = []string{j.Target}
		}
		for _, target := range to {
			if known(target) {
				continue
			}
			r.Cells = append(r.Cells, Cell{j.Row, -1, "", fmt.Sprintf("found %s, want inputs of banks or voices of this table", quote(target))})
			if macro >= 0 {
				r.Macros = slices.Delete(r.Macros, macro, macro+1)
			}
			return true
		}
		return false
	})
}

func (r *reader) nameOf(v *voiceAt) string { return r.names[v.bank] }

// without says which voices have no jack.
func (r *reader) without() {
	there := map[string]bool{}
	for i := range r.Jacks {
		there[r.Jacks[i].Target] = true
	}
	for _, in := range []string{"pitch", "gate"} {
		var voices []string
		for _, v := range r.order {
			if name := profiles.VoiceName(r.nameOf(v), v.number); v.number <= mostInBank && !there[name+"."+in] {
				voices = append(voices, name)
			}
		}
		if len(voices) > 0 {
			r.say("No %s jack for %s in the table, so free ones are taken.", in, unit.Several(voices))
		}
	}
}

// separate gives boxes names that no bank has, and an input one jack: the first.
func (r *reader) separate() {
	for i := range r.Boxes {
		b := &r.Boxes[i]
		for slices.ContainsFunc(r.Banks, func(k Bank) bool { return k.Name == b.Name }) {
			b.Name += "-box"
		}
		if b.Outputs > 0 { // CVs and gates have one row of numbers there
			b.Outputs = max(b.Outputs, b.CV, b.Gates)
			b.CV, b.Gates = 0, 0
		}
	}
	first := map[string]*Jack{}
	r.Jacks = slices.DeleteFunc(r.Jacks, func(j Jack) bool {
		if j.Target == "" {
			return false
		}
		if other := first[j.Target]; other != nil {
			r.Cells = append(r.Cells, Cell{j.Row, j.Column, unit.Printable(r.heads.cell(j.Column)),
				fmt.Sprintf("%s has a jack in row %d already, want one for an input", j.Target, other.Row)})
			return true
		}
		first[j.Target] = &j
		return false
	})
	shared := map[string][]string{}
	var order []string
	for i := range r.Jacks {
		j := &r.Jacks[i]
		at := j.Name(r.List)
		if shared[at] == nil {
			order = append(order, at)
		}
		shared[at] = append(shared[at], j.Target)
	}
	for _, at := range order {
		if targets := shared[at]; len(targets) > 1 {
			r.say("%s stands at %s: read as a passive multiple.", strings.Replace(at, ".", " ", 1), unit.Several(targets))
		}
	}
}
