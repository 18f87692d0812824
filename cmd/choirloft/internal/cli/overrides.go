package cli

import (
	"github.com/spf13/cobra"

	"choirloft/alloc"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// override is the flag of an override: what is typed is read at once.
type override struct {
	*plan.Overrides
	name, usage string
	values      []string
}

// Set reads a value. The error is an *[plan.OverrideError].
func (f override) Set(typed string) error { return f.Add("--"+f.name, typed) }

// String is empty: by default nothing is overridden.
func (override) String() string { return "" }

// Type is what the flag parser asks for.
func (override) Type() string { return "override" }

// overrideFlags adds the overrides of one run to a command.
func overrideFlags(cmd *cobra.Command, o *plan.Overrides) {
	ruleFlags(cmd, o)
	addFlags(cmd, []override{
		{o, "without", "take `VOICES` out of service, as in K3 or K3,L1", nil},
		{o, "more", "a further bank of `N` voices like the last, or pad=N for one part alone", nil},
		buying(o),
		{o, "trim", "end notes at the next one where they overlap it by at most `TIME`, as in 80 ms or pad=80 ms when short", nil},
		{o, "lift", "lift the sustain pedal earlier by `TIME`, as in 250 ms or 250 ms when short", nil},
		{o, "shorten", "end notes earlier by `TIME`, none before half its length, as in 100 ms or pad=100 ms when short", nil},
		{o, "doubles", "`keep` or drop notes that double a lower note of a chord in octaves", []string{"keep", "drop"}},
	})
}

// buying is the override of banks that are bought.
func buying(o *plan.Overrides) override {
	return override{o, "buy", "buy whole `BANKS` and what they need, as in 2xN: two like bank N", nil}
}

// ruleFlags adds those overrides that make sense without a song.
func ruleFlags(cmd *cobra.Command, o *plan.Overrides) {
	addFlags(cmd, []override{
		{o, "pick", "picking `RULE`, as in pad=nearest or same-key then lowest", plan.PickNames()},
		{o, "steal", "stealing `RULE`", alloc.StealNames()},
		{o, "tails", "`known` if rules hear tails, unknown if they are deaf to them", []string{"known", "unknown"}},
		{o, "same-key", "what a key does if it is played again, a `RULE`", alloc.SameKeyNames()},
		{o, "voices", "keep the first `N` voices in service", nil},
		{o, "release", "`TIME` in which a tail falls by 60 dB, as in 1.2 s", nil},
		{o, "unison", "voices on a note: `N`, or pad=N for one part", nil},
		{o, "banks", "`BANKS` that parts play on, as in pad=K,L, or keys split over banks, as in pad=K/60/L", nil},
		{o, "reserve", "`N` voices kept for a part, as in bass=1", nil},
		{o, "limit", "the most voices that a part may hold, as in pad=`N`", nil},
		{o, "priority", "rank of a part, 1 is highest, as in pad=`N`", nil},
		{o, "mode", "whether a part plays chords or one note at a time, a `MODE` as in bass=mono last", modes},
		{o, "transpose", "semitones by which a part plays higher, as in bass=`12` or pad=-12", nil},
		{o, "zero-key", "key at 0 V of an interface, as in main=`29`", nil},
		{o, "when-short", "what a unison does without enough voices, as in pad=`thin`", shorts},
	})
}

// What --mode and --when-short take.
var (
	modes  = []string{profiles.Poly.String(), profiles.MonoLast.String(), profiles.MonoLow.String(), profiles.MonoHigh.String()}
	shorts = []string{profiles.Blocks.String(), profiles.Thin.String(), profiles.Wait.String(), profiles.Elastic.String()}
)

func addFlags(cmd *cobra.Command, flags []override) {
	for _, f := range flags {
		cmd.Flags().Var(f, f.name, f.usage)
		complete(cmd, f.name, f.values)
	}
}

// complete lets a shell offer the values of a flag.
func complete(cmd *cobra.Command, flag string, values []string) {
	err := cmd.RegisterFlagCompletionFunc(flag, cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp))
	if err != nil {
		panic("bug: " + err.Error())
	}
}

// rigFiles lets a shell offer rig files.
func rigFiles(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"yaml", "yml"}, cobra.ShellCompDirectiveFilterFileExt
}

// rigThenSongs lets a shell offer a rig file first, then songs.
func rigThenSongs(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return rigFiles(cmd, args, word)
	}
	return []string{"mid", "midi", "rmi"}, cobra.ShellCompDirectiveFilterFileExt
}
