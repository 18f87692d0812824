package paper

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/draw"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// breaches are what a sheet breaks of the laws of all sheets: in its pictures and, if it is to
// be read back, in the PDF as poppler and qpdf see it. A rig with letters that the font lacks
// must be refused.
func breaches(t testing.TB, rig *profiles.Rig, s *contract.Sheet, o Options, read bool) []string {
	d, figures := say.Sheet(s), Drawings(s.Map)
	var file bytes.Buffer
	err := Document(&file, d, figures, o)
	if len(routing.Letters(rig, draw.Lacking)) > 0 {
		var refused *draw.LettersError
		require.ErrorAs(t, err, &refused)
		require.Empty(t, file.Bytes())
		return nil
	}
	require.NoError(t, err)
	l := &court{sheet: s, doc: d, pages: ofPictures(Pages(d, figures, o))}
	l.all()
	l.trueSize(t, file.Bytes())
	if !read {
		return l.broken
	}
	pictures := len(l.pages)
	l.pages = ofPDF(t, file.Bytes())
	require.Len(t, l.pages, pictures)
	l.all()
	tool(t, file.Bytes(), "qpdf", "--check", "FILE")
	return l.broken
}

// breachesOfMoves are what lists of moves break of the same laws: those from one set-up to another,
// and those for when a voice fails. Their cables have the names that the sheet gives them.
func breachesOfMoves(t testing.TB, rig *profiles.Rig, s *contract.Sheet, voice string, o Options, read bool) (broken []string) {
	if len(routing.Letters(rig, draw.Lacking)) > 0 {
		return nil // refused, as the sheet is
	}
	named := map[string]bool{}
	for _, c := range slices.Concat(s.Map.Cables, s.Map.SetUpCables) {
		named[c.Number] = true
	}
	list := func(d *doc.Doc, cables []string, read bool) {
		pages := Pages(d, nil, o)
		l := &court{doc: d, pages: ofPictures(pages)}
		l.drawnTrueSize(pages)
		l.moves(cables, named)
		if read {
			var file bytes.Buffer
			require.NoError(t, Document(&file, d, nil, o))
			l.trueSize(t, file.Bytes())
			l.pages = ofPDF(t, file.Bytes())
			l.moves(cables, named)
			tool(t, file.Bytes(), "qpdf", "--check", "FILE")
		}
		for _, b := range l.broken {
			broken = append(broken, d.Title+": "+b)
		}
	}
	for i, r := range s.Changes {
		var cables []string
		for _, c := range slices.Concat(r.Pulls, r.Plugs) {
			cables = append(cables, c.Cable)
		}
		list(say.Repatch(r, say.Paper), cables, read && i == 0)
	}
	fails, err := whatif.NewOutage(rig, plan.Overrides{}, voice)
	if err != nil {
		require.ErrorContains(t, err, voice+" is out of service already")
		return broken
	}
	outage := contract.NewOutage(fails, nil, nil)
	var cables []string
	for _, c := range outage.Cables {
		cables = append(cables, c.Cable)
	}
	list(say.Outage(outage, say.Paper), cables, read)
	return broken
}

// moves: a list of moves has the laws of all pages, and a box for each cable, by the name on its
// flag.
func (l *court) moves(cables []string, named map[string]bool) {
	for i := range l.pages {
		l.page(i+1, &l.pages[i])
	}
	l.records()
	var boxed []string
	for _, b := range l.doc.Blocks {
		if list, ok := b.(doc.List); ok && list.Boxes {
			for _, item := range list.Items {
				boxed = append(boxed, item.Below...)
			}
		}
	}
	moves := map[string]int{} // one that is pulled here and plugged there has two
	for _, c := range cables {
		moves[c]++
	}
	for c, n := range moves {
		if !named[c] {
			l.breach("cable %q is not on the schedule", c)
		}
		boxes := 0
		for _, line := range boxed {
			if strings.HasSuffix(line, "("+c+")") || strings.HasPrefix(line, c+" (") {
				boxes++
			}
		}
		if boxes != n {
			l.breach("cable %s has %d boxes for %d moves", c, boxes, n)
		}
	}
}

// court hears what breaks the laws.
type court struct {
	sheet  *contract.Sheet
	doc    *doc.Doc
	pages  []printedPage
	broken []string
}

func (l *court) breach(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(l.broken, text) {
		l.broken = append(l.broken, text)
	}
}

func (l *court) all() {
	for i := range l.pages {
		l.page(i+1, &l.pages[i])
	}
	l.names()
	l.records()
	l.cables()
}

// page: all type has 7.5 points at least and lies within the edges, no text lies over
// another, and where a word is cut its key stands on the page.
func (l *court) page(n int, p *printedPage) {
	for _, w := range p.words {
		if w.size < 7.5*25.4/72-0.015 {
			l.breach("page %d: %q has %.2f points", n, w.text, w.size*72/25.4)
		}
		if w.left < edge-0.05 || w.right > p.width-edge+0.05 || w.top < edge-0.05 || w.bottom > p.height-edge+0.05 {
			l.breach("page %d: %q runs over the edge", n, w.text)
		}
		if strings.Contains(w.text, "…") && !strings.Contains(p.squashed, squash(w.text)+"is") {
			l.breach("page %d: %q is cut, without a key", n, w.text)
		}
	}
	keys := p.keys()
	for _, field := range p.fields() {
		if key := shortened(field); key != "" && keys[key] == "" {
			l.breach("page %d: %q is short for something, without a key", n, field)
		}
	}
	if a, b, found := p.overlap(); found {
		l.breach("page %d: %q lies over %q", n, a.text, b.text)
	}
}

// has tells whether a text stands whole on one page, however its lines are broken.
func (l *court) has(text string) bool {
	text = squash(draw.Clean(text))
	return slices.ContainsFunc(l.pages, func(p printedPage) bool { return strings.Contains(p.squashed, text) })
}

// names: whatever has a name is found by it.
func (l *court) names() {
	m := l.sheet.Map
	names := append([]string{m.Rig}, m.SetUps...)
	for i := range m.Interfaces {
		names = append(names, m.Interfaces[i].Name)
	}
	for i := range m.Voices {
		v := &m.Voices[i]
		names = append(names, v.Name, v.Bank)
		for j := range v.Seats {
			names = append(names, v.Seats[j].Part)
		}
	}
	for i := range m.Macros {
		if !slices.Contains(m.Missing, m.Macros[i].Name) { // what has no jack is counted
			names = append(names, m.Macros[i].Name)
		}
	}
	for i := range m.Paths {
		for j := range m.Paths[i].Branches {
			names = append(names, m.Paths[i].Branches[j].Via...)
		}
	}
	words := map[string]bool{}
	for i := range l.pages {
		for _, field := range l.pages[i].fields() {
			words[strings.Trim(field, ".,:;()")] = true
		}
	}
	slices.Sort(names)
	for _, name := range slices.Compact(names) {
		const folds = 8 // a shorter name stands on one line
		if !words[name] && (!strings.Contains(name, " ") && len([]rune(name)) < folds || !l.has(name)) {
			l.breach("%q is on no page", name)
		}
	}
}

// records: no row of a table, no finding and no move is broken over pages.
func (l *court) records() {
	for _, b := range l.doc.Blocks {
		switch b := b.(type) {
		case doc.Table:
			for _, g := range b.WithoutEmpty(unit.None).Groups {
				for _, row := range g.Rows {
					l.record(row...)
				}
			}
		case doc.List:
			for _, item := range b.Items {
				for _, line := range append(item.Below, item.Text) {
					l.record(line)
				}
			}
		case doc.Findings:
			for i := range b {
				l.finding(&b[i])
			}
		}
	}
}

func (l *court) finding(x *doc.Finding) {
	parts := []string{x.Severity + ": " + x.Code, findingText(x)}
	if x.Assumed && len(x.Facts) > 0 {
		parts = append(parts, x.Figures())
	}
	l.record(append(parts, x.Hint)...)
}

// record: the parts of one thing stand beside each other on one page, cut at most.
func (l *court) record(parts ...string) {
	const page = 3000 // characters that no page holds
	whole := strings.Join(parts, " ")
	if len(whole) > page || l.has(whole) {
		return
	}
	cut := make([]string, len(parts))
	for i, part := range parts {
		cut[i] = regexp.QuoteMeta(squash(draw.Clean(part)))
		if len(parts) > 1 && part != "" {
			cut[i] = `(?:` + cut[i] + `|\S{0,30}…\S{0,30})`
		}
	}
	pattern := regexp.MustCompile(strings.Join(cut, ""))
	if !slices.ContainsFunc(l.pages, func(p printedPage) bool { return pattern.MatchString(p.squashed) }) {
		l.breach("broken: %s", strings.Join(parts, " | "))
	}
}

// cables: every cable of every set-up has its name on the schedule, on two flags of two
// faces each, and in the moves.
func (l *court) cables() {
	m, flags, elsewhere := l.sheet.Map, map[string]int{}, map[string]bool{}
	for i := range l.pages {
		keys, fields := l.pages[i].keys(), l.pages[i].fields()
		for j, field := range fields {
			if j > 1 && fields[j-1] == "of" && strings.HasSuffix(fields[j-2], "multiple") {
				continue // what feeds it
			}
			if strings.HasPrefix(field, "((") {
				field = field[1:]
			}
			if key := shortened(field); key != "" {
				field = strings.Replace(field, key, keys[key], 1)
			}
			if field = strings.Trim(field, "(),"); strings.Contains(l.pages[i].squashed, "foldatthedots") {
				flags[field]++
			} else {
				elsewhere[field] = true
			}
		}
	}
	wanted := map[string]int{}
	for _, c := range slices.Concat(m.Cables, m.SetUpCables) {
		wanted[c.Number] += 4
		if !elsewhere[c.Number] && !l.listed(c.Number) {
			l.breach("cable %s is on no page but its flags", c.Number)
		}
		if len(m.SetUps) > 0 {
			from, to := say.EndsOf(&c)
			l.record(c.Number, from, to)
		}
	}
	for name, n := range wanted {
		if flags[name] != n {
			l.breach("cable %s stands on flags %d times, not %d", name, flags[name], n)
		}
	}
	for _, r := range l.sheet.Changes {
		for _, c := range slices.Concat(r.Pulls, r.Plugs) {
			if wanted[c.Cable] == 0 {
				l.breach("cable %s of a move from %s to %s has no flag", c.Cable, r.From, r.To)
			}
			from, to := say.EndsOf(&contract.Cable{Number: c.Cable, From: c.FromPanel, To: c.ToPanel})
			if !l.has(c.To+" ("+c.Cable+")") && !l.has(c.From+" ("+c.Cable+")") && !l.has(from+" ("+c.Cable+")") && !l.has(to+" ("+c.Cable+")") {
				l.breach("cable %s has no box in the moves from %s to %s", c.Cable, r.From, r.To)
			}
		}
	}
}

// listed tells whether the long name of a cable stands on a page without flags, in several
// lines.
func (l *court) listed(cable string) bool {
	return slices.ContainsFunc(l.pages, func(p printedPage) bool {
		return !strings.Contains(p.squashed, "foldatthedots") && strings.Contains(p.squashed, cable)
	})
}

// trueSize: every page has a bar of 100 mm.
func (l *court) trueSize(t testing.TB, file []byte) {
	found := 0
	for _, stream := range streams(t, file) {
		if hasBar(stream) {
			found++
		}
	}
	if found != len(l.pages) {
		l.breach("%d of %d pages have a bar of 100 mm", found, len(l.pages))
	}
}

// drawnTrueSize: every picture of a page has that bar, in millimetres, as its SVG says.
func (l *court) drawnTrueSize(pages []*draw.Picture) {
	for i, p := range pages {
		if !slices.ContainsFunc(straight.FindAllStringSubmatch(svgText(p), -1), func(m []string) bool {
			from, _ := strconv.ParseFloat(m[1], 64)
			to, _ := strconv.ParseFloat(m[3], 64)
			return m[2] == m[4] && math.Abs(to-from-100) < 0.011 // rounded twice
		}) {
			l.breach("page %d has no bar of 100 mm", i+1)
		}
	}
}

// straight finds lines in an SVG: from a point to a point.
var straight = regexp.MustCompile(`M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)`)
