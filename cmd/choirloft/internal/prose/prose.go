// Package prose holds tests to plain words: how long sentences are, and which
// words are no longer used. Nothing but tests calls it.
package prose

import (
	"regexp"
	"slices"
	"strings"
)

// Most is the most words of a sentence; 20 is the aim.
const Most = 25

var (
	fence   = regexp.MustCompile("(?ms)^```.*?^```")
	code    = regexp.MustCompile("`[^`]+`")
	quoted  = regexp.MustCompile(`"[^"]*"`)
	bullet  = regexp.MustCompile(`^\s*(?:[-*]|\d+\.)\s`)
	row     = regexp.MustCompile(`^  \S+(?: \S+)?\s{2,}(\S)`)
	ends    = regexp.MustCompile(`[.!?]["')\]*]*\s+`)
	anyWord = regexp.MustCompile(`[\pL\pN]`)
)

// Texts splits Markdown or help into what is read in one go: paragraphs, items
// of lists, and the explanations of tables whose first column is a name. Code,
// tables, headings, and what is indented by four or a tab behind an empty line are
// no prose.
func Texts(s string) (all []string) {
	var open []string
	end := func() {
		if len(open) > 0 {
			all = append(all, strings.Join(open, " "))
		}
		open = nil
	}
	kept := true // whether an indented line is code
	for _, line := range strings.Split(fence.ReplaceAllString(s, "\n"), "\n") {
		text := strings.TrimSpace(line)
		kept = kept && (strings.HasPrefix(line, "    ") || strings.HasPrefix(line, "\t")) || text == ""
		switch {
		case kept && text != "":
		case text == "" || strings.HasPrefix(text, "#") || strings.HasPrefix(text, "|") || strings.HasPrefix(text, "<"):
			end()
		case bullet.MatchString(line):
			end()
			open = append(open, bullet.ReplaceAllString(line, ""))
		case row.MatchString(line):
			end()
			at := row.FindStringSubmatchIndex(line)
			open = append(open, line[at[2]:])
		default:
			open = append(open, text)
		}
	}
	end()
	return all
}

// Sentences splits a text. A list with semicolons, which has two at least or
// follows a colon, is read item by item.
func Sentences(text string) []string {
	text = code.ReplaceAllStringFunc(text, func(s string) string { return strings.NewReplacer(" ", "_", ".", "_", "?", "_", "!", "_").Replace(s) })
	var all []string
	for _, s := range strings.Split(ends.ReplaceAllString(text, "$0\x00"), "\x00") {
		items := strings.Split(s, "; ")
		if len(items) < 3 && !strings.Contains(items[0], ": ") {
			items = []string{s}
		}
		for _, item := range items {
			if item = strings.TrimSpace(item); item != "" {
				all = append(all, item)
			}
		}
	}
	return all
}

// Words counts the words of a sentence. What stands in quotes or as code is one,
// and so is a list of names: three or more words in a row with commas between, or
// three or more items of up to four words after a colon.
func Words(sentence string) int {
	if at := strings.LastIndex(sentence, ": "); at >= 0 && listed(sentence[at+2:]) {
		sentence = sentence[:at+2] + "list"
	}
	sentence = quoted.ReplaceAllString(code.ReplaceAllString(sentence, "code"), "quote")
	n, run := 0, 0
	for _, w := range strings.Fields(sentence) {
		if !anyWord.MatchString(w) {
			continue
		}
		if n++; !strings.HasSuffix(w, ",") {
			if run > 1 { // the last name of a list
				n -= run
			}
			run = 0
			continue
		}
		run++
	}
	return n
}

// listed tells whether a text is a list of short items.
func listed(text string) bool {
	const fewest, most = 3, 4
	items := strings.Split(strings.Replace(text, " and ", ", ", 1), ", ")
	return len(items) >= fewest && !slices.ContainsFunc(items, func(i string) bool { return len(strings.Fields(i)) > most })
}

// Long returns the sentences of prose that have more than [Most] words.
func Long(s string) (all []string) {
	for _, text := range Texts(s) {
		for _, sentence := range Sentences(text) {
			if Words(sentence) > Most {
				all = append(all, sentence)
			}
		}
	}
	return all
}

// retired are words that answers no longer use, as patterns. They are still keys,
// flags and names, which are no prose: see [Retired].
var retired = regexp.MustCompile(`(?i)\b(?:damag(?:e|es|ed|ing)|remed(?:y|ies)|superseded|struck again|re-?attacks?|cut at birth|born cut` +
	`|legato|late starts?|faint tails?|must (?:lose|damage)|bounds?|tails? (?:known|unknown)|zero keys?|group (?:pitch )?jacks?` +
	`|(?:own|other) tails?|tail, (?:own|other) key|at once, at most|most at once|held cut|pedal cut` +
	`|out of reach|voltage windows?|windows?|lanes?|laws?|scatter|strays?|throbs?|links?|steps? down|drills?|sensitivity` +
	`|fingerprints?|eight signs|ways? out|what would help|parts? takes?|class order|orphans?)\b`)

// names are what is no prose, by its place: code and quotes, flags, keys with
// their colon, words joined by a hyphen or an underscore, paths and files.
var names = regexp.MustCompile("`[^`]*`|\"[^\"]*\"|--[\\w-]+|[\\w.-]*_[\\w.-]*|\\b[a-z]+-[\\w-]+\\b|\\b[a-z]+: ?|\\b\\w+\\.(?:mid|svg|png|pdf|html|md|csv|wav|yaml|txt)\\b")

// Retired returns the words of prose that are no longer used, each with its
// sentence.
func Retired(s string) (all []string) {
	for _, text := range Texts(s) {
		for _, sentence := range Sentences(text) {
			for _, word := range retired.FindAllString(names.ReplaceAllString(sentence, " "), -1) {
				all = append(all, word+": "+sentence)
			}
		}
	}
	return all
}
