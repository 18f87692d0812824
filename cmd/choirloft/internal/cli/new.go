package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/patchlist"
	"choirloft/routing/plan"
)

// starter is one call of the command new.
type starter struct {
	*app
	options    profiles.StarterOptions
	song, file string
	patch      string
	track      int
	list, json bool
	schema     bool
	force      bool
	given      func(flag string) bool
}

func (a *app) newCommand() *cobra.Command {
	s := &starter{app: a}
	cmd := &cobra.Command{
		Use:   "new",
		Short: "Print a starter rig to fill in",
		Long: `new prints a rig file with comments that say what to measure. With --song it has
a part for each channel of the song but 10, and enough banks that no note is cut
short or dropped. A line whose notes never sound at once is a mono part. A channel
whose low and high keys stay apart is split in two. --list prints what the song
does on its channels instead. -o replaces no file unless --force says so.

--patch makes the rig of a table that you keep in a spreadsheet. It has a row a
voice, with its bank, number, pitch jack and gate jack. It may have an interface, a
MIDI channel and port, a state, keys and notes too. new says how it read each head,
and which cell it could not read. What choirloft map -o FILE.csv wrote comes back as
the same map.

` + profileHelp(),
		Example: "  choirloft new --banks 2 --voices 4 --profile cv16-gate16\n" +
			"  choirloft new --song testdata/slow-kiln.mid\n" +
			"  choirloft new --song testdata/slow-kiln.mid --list\n  choirloft new --schema",
		Args: count(0, 0, "no argument, only flags"),
		RunE: func(cmd *cobra.Command, _ []string) error { return s.run(cmd.Context()) },
	}
	f := cmd.Flags()
	s.given = f.Changed
	f.StringVar(&s.options.Name, "name", "", "`NAME` of the rig")
	f.IntVar(&s.options.Banks, "banks", 0, "how many banks: `N`")
	f.IntVar(&s.options.Voices, "voices", 0, "how many voices in each bank: `N`")
	f.StringVar(&s.options.Profile, "profile", "", "built-in interface, or the path of a profile file: `NAME`")
	f.StringVar(&s.song, "song", "", "propose parts, banks and unison for this song (`FILE`)")
	f.StringVar(&s.patch, "patch", "", "make the rig of this table, one row per voice: a CSV `FILE` of a spreadsheet, or of map")
	f.IntVar(&s.track, "track", 0, "read this track, from 1, of a song of format 2 (`N`)")
	f.BoolVar(&s.list, "list", false, "list the channels of the song, and print no rig")
	f.BoolVar(&s.json, "json", false, "with --list, print JSON")
	f.BoolVar(&s.schema, "schema", false, "print the JSON Schema of rig files instead, for editors: save it as rig.schema.json beside the rig")
	f.StringVarP(&s.file, "output", "o", "", "write to this `FILE`, which must be new unless --force is given")
	f.BoolVar(&s.force, "force", false, "let -o replace a file that is there")
	complete(cmd, "profile", profileNames(profiles.InterfaceProfiles()))
	if err := errors.Join(cmd.MarkFlagFilename("song", "mid", "midi", "rmi"), cmd.MarkFlagFilename("patch", "csv", "txt", "tsv")); err != nil {
		panic("bug: " + err.Error())
	}
	return cmd
}

func profileNames(infos []profiles.ProfileInfo) []string {
	var names []string
	for _, p := range infos {
		names = append(names, p.Name)
	}
	return names
}

// profileHelp lists the built-in interfaces.
func profileHelp() string {
	var b strings.Builder
	b.WriteString("Built-in interfaces:\n")
	for _, p := range profiles.InterfaceProfiles() {
		fmt.Fprintf(&b, "  %-14s%s\n", p.Name, p.About)
	}
	return b.String()
}

func (s *starter) run(ctx context.Context) error {
	if err := s.check(); err != nil {
		return err
	}
	if s.schema {
		return s.write(ctx, profiles.Schema())
	}
	if s.patch != "" {
		return s.fromTable(ctx)
	}
	if s.song == "" {
		if err := s.options.Check(); err != nil {
			return refused(err)
		}
		return s.write(ctx, profiles.Starter(s.options))
	}
	song, err := s.readSong(ctx, s.song, s.track)
	if err != nil {
		return err
	}
	if song.Warnings.CutOff {
		s.complain(songName(s.song)+": the song's file is damaged or cut off: notes may be missing", "")
	}
	p, err := plan.ProposeFor(songName(s.song), song, s.options)
	if err != nil {
		return err
	}
	channels := contract.NewChannels(songName(s.song), p)
	if s.list {
		return s.tell(ctx, &output{json: s.json}, channels, say.Channels(channels))
	}
	rig, err := p.Rig()
	if err != nil {
		return refused(err)
	}
	say.Fill(channels)
	s.complain(channels.Summary, strings.Join(say.LineSentences(channels), "\n"))
	return s.write(ctx, rig)
}

// fromTable makes the rig of a table, and says how it was read. The status is that of
// something found where cells could not be read.
func (s *starter) fromTable(ctx context.Context) error {
	data, err := s.read(ctx, s.patch, profiles.MaxBytes)
	if err != nil {
		return err
	}
	list, err := patchlist.Read(data)
	if err != nil {
		return &usageError{s.patch + ": " + err.Error(), "choirloft help new shows a table"}
	}
	if s.options.Name == "" {
		s.options.Name = "From " + strings.TrimSuffix(filepath.Base(s.patch), filepath.Ext(s.patch))
	}
	rig, said, err := list.Rig(s.options)
	if err != nil {
		return &usageError{s.patch + ": " + err.Error(), ""}
	}
	s.complain(s.patch+": read as", strings.Join(slices.Concat(list.Heads, list.Said, said), "\n"))
	const most = 20
	for _, c := range list.Cells[:min(most, len(list.Cells))] {
		s.complain(s.patch+": "+c.String(), "")
	}
	if more := len(list.Cells) - most; more > 0 {
		s.complain(fmt.Sprintf("%s: and %s more that could not be read", s.patch, unit.Count(more, "cell")), "")
	}
	if err := s.write(ctx, rig); err != nil {
		return err
	}
	if len(list.Cells) > 0 {
		return statusError(exitFound)
	}
	return nil
}

// Endings of tables and of songs, which are taken for one another.
var tables, songs = []string{".csv", ".tsv"}, []string{".mid", ".midi", ".rmi"}

// check refuses calls at odds with themselves.
func (s *starter) check() error {
	switch {
	case s.patch != "" && (s.song != "" || s.schema || s.given("banks") || s.given("voices")):
		return &usageError{"--patch has its own banks and voices, and no song", "leave --song, --schema, --banks and --voices out"}
	case slices.Contains(tables, strings.ToLower(filepath.Ext(s.song))):
		return &usageError{"--song " + s.song + ": that is a table", "a rig is made of it with --patch " + s.song}
	case slices.Contains(songs, strings.ToLower(filepath.Ext(s.patch))):
		return &usageError{"--patch " + s.patch + ": that is a song", "a rig is made of it with --song " + s.patch}
	case s.track < 0:
		return &usageError{fmt.Sprintf("--track %d: tracks count from 1", s.track), ""}
	case s.list && s.song == "":
		return &usageError{"--list lists the channels of a song, and there is none", "add --song FILE"}
	case s.json && !s.list:
		return &usageError{"--json: a rig is YAML", "with --list the channels can be JSON"}
	}
	for _, f := range []struct {
		name string
		n    int
	}{{"banks", s.options.Banks}, {"voices", s.options.Voices}} {
		if s.given(f.name) && f.n < 1 {
			return &usageError{fmt.Sprintf("--%s %d: want 1 at least", f.name, f.n), ""}
		}
	}
	if s.file == "" {
		if s.force {
			return &usageError{"--force replaces a file, and none is named", "add -o FILE"}
		}
		return nil
	}
	if err := s.replaceable(); err != nil {
		return err
	}
	return s.taken(files.Check([]string{s.song, s.patch, s.options.Profile}, s.out(nil)))
}

// refused says in one line all that is wrong with the options.
func refused(err error) error {
	return &usageError{strings.ReplaceAll(err.Error(), "\n", "; "), "see choirloft new --help"}
}

// replaceable refuses names that stand for something else than what is written:
// by their ending, or by what --force would replace.
func (s *starter) replaceable() error {
	what, endings, looks := "a rig", []string{".yaml", ".yml"}, profiles.LooksLikeRig
	if s.schema {
		what, endings, looks = "a schema", []string{".json"}, looksLikeSchema
	}
	if !slices.Contains(endings, strings.ToLower(filepath.Ext(s.file))) {
		return noFormat("-o", s.file, "not "+what, endings, "leave -o out to print")
	}
	info, err := os.Stat(s.file)
	if !s.force || err != nil || !info.Mode().IsRegular() {
		return nil // files knows better
	}
	data, err := openUpTo(s.file, profiles.MaxBytes, info.Size())
	if err == nil && len(data) > 0 && !looks(data) {
		return &usageError{fmt.Sprintf("-o %s: this is not %s, and --force replaces nothing else", s.file, what), "give another name"}
	}
	return nil
}

// looksLikeSchema tells whether data holds what a schema names itself by.
func looksLikeSchema(data []byte) bool { return bytes.Contains(data, []byte(`"$schema"`)) }

func (s *starter) out(data []byte) files.Out {
	return files.Out{Flag: "-o", Name: s.file, Data: data, New: !s.force}
}

// taken says the way out where a rig stands already under the name.
func (s *starter) taken(err error) error {
	if errors.Is(err, fs.ErrExist) {
		return &usageError{"-o " + s.file + ": it exists already, and new never overwrites a file", "give another name, or --force to replace it"}
	}
	return err
}

func (s *starter) write(ctx context.Context, data []byte) error {
	if s.file == "" {
		return s.print(data)
	}
	if err := s.taken(s.commit(ctx, s.out(data))); err != nil {
		return err
	}
	return s.print([]byte("Written: " + unit.Printable(s.file) + "\n"))
}
