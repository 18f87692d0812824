// Package say puts results into words: every sentence and every table of an
// answer is made here, once, for the terminal, Markdown, HTML, paper and the
// page. It reads the facts of the contract and computes none. [Fill] sets the
// sentences that JSON has too; nothing here reads those.
package say

import (
	"math"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Fill sets the sentences of a value of the contract, before it is encoded.
func Fill(value any) {
	switch v := value.(type) {
	case *contract.Channels:
		v.Summary = channelSummary(v)
	case *contract.CV:
		v.Summary = cv{v}.summary()
		result{v.Result, v.MiddleC, wholeJSON}.fill()
	case *contract.Check:
		v.Summary = check{v}.summary()
		for i := range v.Songs {
			v.Songs[i].Summary = checkSong{&v.Songs[i]}.summary()
		}
	case *contract.Listen:
		v.Summary = listening{v}.summary()
	case *contract.Live:
		v.Summary = session{v}.summary()
	case *contract.LineCheck:
		v.Summary = lineCheck{v}.summary()
	case *contract.Replay:
		resultOf(v).fill()
	case *contract.Repatch:
		v.Summary = repatch{v, false}.summary()
	case *contract.SetUps:
		v.Summary = setUps{v}.summary()
	case *contract.Map:
		v.Summary = newChart(v).summary()
	case *contract.Pitch:
		v.Summary = pitch{v}.summary()
	case *contract.Sheet:
		Fill(v.Map)
		for _, r := range v.Changes {
			Fill(r)
		}
	case *contract.Outage:
		v.Summary = outage{v}.summary()
	case *contract.Songs:
		v.Summary = songs{v}.summary()
		for _, r := range v.Songs {
			result{r, v.MiddleC, wholeList}.fill()
		}
	case *contract.Stacks:
		v.Summary = stacks{v}.summary()
	case *contract.Take:
		v.Summary = takePage{v}.summary()
	case *contract.Took:
		v.Summary = took{v}.summary()
		if v.Tuning != nil {
			Fill(v.Tuning)
		}
	case *contract.Tune:
		v.Summary = tune{v}.summary()
	case *contract.Written:
		v.Summary = written{v}.summary()
		for i := range v.Passes {
			written{v}.pass(i).fill()
		}
	case *contract.Size:
		size{&v.SizeResult}.fill(v.Rig)
	case *contract.SizeSongs:
		v.Summary, v.Advice = sizeSongs{v}.summary(), sizeSongs{v}.advice()
		for _, r := range v.Songs {
			size{r}.fill(v.Rig)
		}
	case *contract.Estimate:
		v.Summary, v.Advice, v.Rules = estimate{v}.summary(), estimate{v}.advice(), ruleKeys(v.OwnRules)
	}
}

// Room is how many rows of a list there is room for.
type Room int

// A screen has room for the worst of a list, paper for most of it; the JSON has
// all, and so has whoever asks for it.
const (
	Screen Room = iota
	Paper
	All
)

// of is how many there is room for, of what fits a screen and what fits paper.
func (r Room) of(screen, paper int) int {
	switch r {
	case Screen:
		return screen
	case Paper:
		return paper
	}
	return math.MaxInt
}

// newDoc begins a document about a plan.
func newDoc(title, plan string) *doc.Doc { return &doc.Doc{Title: title, Plan: plan} }

// aboutVoice is what a row about a voice is about.
func aboutVoice(name string) string { return "voice " + name }

// findings are what there is to say about a plan, as blocks.
func findings(list []contract.Finding) doc.Findings {
	var out doc.Findings
	for _, f := range list {
		x := doc.Finding{Severity: f.Severity, Code: f.Code, Where: unit.Place(f.Where), Text: f.Text, Assumed: f.Assumed, Facts: figures(f.Facts)}
		if f.Hint != nil {
			x.Hint = *f.Hint
		}
		out = append(out, x)
	}
	return out
}

// figures are the facts of a finding that are measures, or that nobody gave.
func figures(facts []contract.Fact) (list []doc.Fact) {
	for _, f := range facts {
		x := doc.Fact{Name: f.Word, Figure: unit.First(f.Names, 8), Assumed: f.Assumed}
		switch {
		case f.Unit == nil && !f.Assumed:
			continue
		case f.Value == nil:
		case f.Unit == nil:
			x.Figure = unit.Figure(*f.Value)
		case *f.Unit != "key":
			x.Figure, x.Unit = unit.Figure(*f.Value), *f.Unit
		case len(f.Names) > 0:
			x.Unit = "(" + unit.Figure(*f.Value) + ")"
		default:
			x.Figure = unit.Figure(*f.Value)
		}
		list = append(list, x)
	}
	return list
}

// findingsLine says in a line how many findings there are, where a screen has no
// room for them.
func findingsLine(list []contract.Finding) string {
	if len(list) == 0 {
		return ""
	}
	count := map[string]int{}
	for _, f := range list {
		count[f.Severity]++
	}
	var words []string
	for _, severity := range []string{"error", "warning", "note"} {
		if n := count[severity]; n > 0 {
			words = append(words, unit.Count(n, severity))
		}
	}
	return "Findings: " + unit.List(words) + "; check says which."
}

// findingTone is that of the worst finding, and another where nothing is wrong.
// Findings come sorted.
func findingTone(list []contract.Finding, fine doc.Tone) doc.Tone {
	if len(list) > 0 {
		switch list[0].Severity {
		case "error":
			return doc.Bad
		case "warning":
			return doc.Fair
		}
	}
	return fine
}
