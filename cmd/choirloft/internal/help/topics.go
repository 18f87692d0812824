package help

import (
	"embed"
	"strings"

	"choirloft/alloc/study/estimate"
	"choirloft/cmd/choirloft/internal/licences"
	"choirloft/profiles"
	"choirloft/routing/tuning"
)

//go:embed topics
var texts embed.FS

// Topic is a page of help.
type Topic struct {
	Name, Short string
	// Commands are those that it belongs to, whose help points to it.
	Commands []string
	text     func() string // made; nil for topics/Name.txt
	// Quoted is a text of others, which is not laid out.
	Quoted bool
}

var topics = []Topic{
	{Name: "rig", Short: "How a rig file is written; help rig KEY explains one key", Commands: []string{"new", "check"}},
	{Name: "new", Short: "A rig from a song, or from a spreadsheet", Commands: []string{"new"}},
	{Name: "results", Short: "What each word and column of a result means", Commands: []string{"replay", "size"}},
	{Name: "rules", Short: "What each rule of a part does", Commands: []string{"replay", "size"}},
	{Name: "sizing", Short: "How many voices a song needs, and what to try", Commands: []string{"size"}},
	{Name: "hearing", Short: "What you hear of a loss: the model, its words and limits", Commands: []string{"replay", "size", "listen"}},
	{Name: "estimate", Short: "How many voices a way of playing needs, without a song", Commands: []string{"size"}},
	{Name: "paper", Short: "Sheets, flags, pictures and reports", Commands: []string{"map", "replay", "size"}},
	{Name: "set-ups", Short: "From one patching of the rack to another", Commands: []string{"repatch"}},
	{Name: "electrical", Short: "Volts, loads, gates, supplies and levels", Commands: []string{"check", "map"}},
	{Name: "tuning", Short: "Measuring voices, and what corrects them", Commands: []string{"tune"}},
	{Name: "take", Short: "One file that plays every voice, for measuring the rack", Commands: []string{"write", "tune"}},
	{Name: "write", Short: "What a dealt file holds", Commands: []string{"write"}},
	{Name: "cv", Short: "Control voltages as a file", Commands: []string{"write"}},
	{Name: "live", Short: "Playing through the rig, and how it ends", Commands: []string{"live"}},
	{Name: "page", Short: "The plan in a browser", Commands: []string{"serve"}},
	{Name: "json", Short: "Results for other programs, and exit statuses", Commands: []string{"replay", "size"}},
	{Name: "files", Short: "How files are written, and what is never lost", Commands: []string{"write", "tune"}},
	{Name: "safety", Short: "Cautions: power, mains, hearing, DC", Commands: []string{"map", "repatch", "live"}},
	{Name: "licences", Short: "The licences of what choirloft is made with", text: licences.Text, Quoted: true},
}

// Topics are all topics, the most asked for first.
func Topics() []Topic { return topics }

// made are the parts of texts that other packages say, by the line that stands for
// them.
var made = map[string]func() string{
	"{rules}": rules, "{results}": results,
	"{profiles: Values}":          func() string { return section(profiles.Source(), "Values") },
	"{profiles: The rig file}":    func() string { return section(profiles.Source(), "The rig file") },
	"{profiles: Profiles}":        func() string { return section(profiles.Source(), "Profiles") },
	"{estimate: The description}": func() string { return section(estimate.Source(), "The description") },
	"{tuning: Readings}":          func() string { return section(tuning.Source(), "Readings") },
}

// Text is the text of a topic before it is laid out.
func (t *Topic) Text() string {
	if t.text != nil {
		return t.text()
	}
	data, err := texts.ReadFile("topics/" + t.Name + ".txt")
	if err != nil {
		panic("bug: " + err.Error())
	}
	var all strings.Builder
	for line := range strings.Lines(string(data)) {
		if text, ok := made[strings.TrimSpace(line)]; ok {
			line = strings.TrimRight(text(), "\n") + "\n"
		}
		all.WriteString(line)
	}
	return all.String()
}

// Print is the topic in lines of a width.
func (t *Topic) Print(width int) string {
	if t.Quoted {
		return t.Text()
	}
	return Layout(t.Text(), width)
}

// section is a section of a package comment, from its heading to the next.
func section(source, heading string) string {
	_, text, ok := strings.Cut(source, "\n// # "+heading+"\n")
	if !ok {
		panic("bug: no section " + heading)
	}
	text, _, _ = strings.Cut(text, "\n// # ")
	text, _, _ = strings.Cut(text, "\npackage ")
	var all strings.Builder
	all.WriteString(heading + "\n")
	for line := range strings.Lines(text) {
		line = strings.TrimPrefix(strings.TrimPrefix(line, "//"), " ")
		all.WriteString(line)
	}
	return all.String()
}
