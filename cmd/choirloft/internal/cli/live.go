package cli

import (
	"choirloft/profiles/unit"

	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"choirloft/alloc"
	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/midi"
	"choirloft/routing/live"
	"choirloft/routing/plan"
)

// playLive is one call of the command live.
type playLive struct {
	*app
	ins, outs   []string
	log         string
	take        string // a take that is played in place of inputs
	once, quiet bool
	json        bool
	bend        string                 // as it was given
	bendRange   int                    // of it; 0 for one that covers the rig
	given       func(flag string) bool // whether a flag was; nil outside of the command
	overrides   plan.Overrides
	watch       func(*alloc.Decision) // hears every decision; nil for nobody
}

// maxLogged is how many events a log holds: replay reads them again.
const maxLogged = 4_000_000

func (a *app) liveCommand() *cobra.Command {
	l := &playLive{app: a}
	cmd := &cobra.Command{
		Use:   "live RIG --in FROM --out TO",
		Short: "Deal what you play to the voices, as you play it",
		Long: `live plays a rig in real time: MIDI bytes come in, and go out dealt to the
voices, by the same engine as replay. Give an --out for each port that has
voices, in the order of the ports (see map). Give an --in for each port that
comes in.

FROM and TO are raw MIDI byte streams:
  -                   standard input or output
  /dev/midi1          a FIFO or a character device, by its path
  tcp://HOST:PORT     connect to it
  tcp://:PORT         let one program of this machine at a time connect
  rtmidi://NAME       a port of the system, if built with -tags rtmidi
If a connection breaks, live opens it again and releases its keys. TO may not be the log, a MIDI
file, or an input file.

Ctrl-C ends it: all gates go low, all pedals up. The same happens when the
terminal closes, on a signal, and on a fault of the program. The end of standard
input ends it too, if that is the only input. Ctrl-Z does nothing. A second process
stands guard: it holds the outputs too, and puts them low if the program is
killed. Where the system has no guard for an output, live says so at the start.

--take FILE.mid plays a take in real time, in place of what comes in, and then
ends: see choirloft help take.

--log FILE.mid keeps what came in: replay plays it again with the same
decisions. It grows while you play: a kill loses a second of it at most. An
older log gets another name.

Caution: interfaces may keep what they were last told. Monitors on last, off
first.

Exit status: 0 ended, 2 a wrong command line or a file that cannot be used, 3 could not
run.`,
		Example:           "  choirloft live testdata/kiln-yard.yaml --in - --out /dev/null --out /dev/null",
		Args:              count(1, 1, "one rig file"),
		ValidArgsFunction: rigFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			l.given = cmd.Flags().Changed
			return l.run(cmd.Context(), args[0])
		},
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&l.ins, "in", nil, "read MIDI bytes `FROM` here; the first is port 1 (default -)")
	flags.StringArrayVar(&l.outs, "out", nil, "write MIDI bytes `TO` here; one for each port of the voices")
	flags.StringVar(&l.log, "log", "", "keep what came in, as `FILE.mid`")
	flags.StringVar(&l.take, "take", "", "play this take, `FILE.mid`, in place of what comes in")
	flags.BoolVar(&l.once, "once", false, "end when all inputs have ended, and reopen none")
	flags.BoolVar(&l.quiet, "quiet", false, "no monitor")
	flags.BoolVar(&l.json, "json", false, "at the end, print what happened as JSON")
	flags.StringVar(&l.bend, "bend-range", "", "bend range of every voice in semitones, `N` (default: one that covers the rig)")
	ruleFlags(cmd, &l.overrides)
	return cmd
}

// check refuses what cannot be done before anything is opened.
func (l *playLive) check() error {
	if l.take != "" && len(l.ins) > 0 {
		return &usageError{"--take and --in cannot go together: a take is played by itself", "leave --in out"}
	}
	if len(l.ins) == 0 && l.take == "" {
		l.ins = []string{"-"}
	}
	given := func(flag string) bool { return l.given != nil && l.given(flag) }
	if given("bend-range") {
		n, err := strconv.Atoi(l.bend)
		if err != nil || n < 1 || n > 127 {
			return &usageError{fmt.Sprintf("--bend-range %s: want semitones from 1 to 127", l.bend), "leave it out for one that covers the rig"}
		}
		l.bendRange = n
	}
	switch {
	case given("log") && l.log == "":
		return &usageError{"--log: found no name, want one that ends in " + midiEnding, "leave --log out to keep no log"}
	case l.json && slices.Contains(l.outs, "-"):
		return &usageError{"--json and --out - cannot go together: MIDI bytes go to standard output", "write them elsewhere"}
	case l.log != "" && !strings.HasSuffix(strings.ToLower(l.log), midiEnding):
		return &usageError{fmt.Sprintf("--log %s: want a name that ends in %s", l.log, midiEnding), ""}
	}
	return nil
}

// performance is a session with all that it is played through.
type performance struct {
	plan    *plan.Plan
	session *live.Session
	ins     []*wire.Opener
	outs    map[int]*wire.Opener // by port
	log     *logKeeper           // nil where none is kept
	teller  *teller
	signals *signals
	end     func()     // ends it
	song    *midi.Song // that is played in place of inputs; nil for none
}

func (l *playLive) run(ctx context.Context, rigFile string) error {
	if err := l.check(); err != nil {
		return err
	}
	p, err := l.buildPlan(ctx, rigFile, l.overrides)
	if err != nil {
		return err
	}
	f := &performance{}
	inputs := len(l.ins)
	if l.take != "" {
		if p, f.song, err = l.readTake(ctx, p); err != nil {
			return err
		}
		inputs = portsIn(f.song)
	}
	options := live.Options{Inputs: inputs, BendRange: l.bendRange, Watch: l.watch}
	if l.log != "" {
		options.Events = maxLogged
	}
	session, err := live.New(p, options)
	if err != nil {
		return err
	}
	if err := soundable(p, session); err != nil {
		return err
	}
	if ports := session.Ports(); len(ports) != len(l.outs) {
		return &usageError{fmt.Sprintf("found %s, but the voices are on %s: %s", unit.Count(len(l.outs), "--out"),
			unit.Count(len(ports), "port"), livePorts(p)), "give an --out for each, in this order; use /dev/null for a port you do not have"}
	}
	ctx, end := context.WithCancel(ctx)
	defer end()
	f.plan, f.session, f.end, f.signals = p, session, end, newSignals(end)
	defer f.signals.release()
	f.teller = newTeller(l.app, f.signals.broken)
	defer f.teller.stop()
	defer f.close()
	if err := l.open(f, rigFile); err != nil {
		return err
	}
	return l.play(ctx, f)
}

// soundable refuses a rig on which nothing can sound.
func soundable(p *plan.Plan, s *live.Session) error {
	serves := slices.ContainsFunc(p.Rules.Config.Voices, func(v alloc.Voice) bool { return v.State.InService() })
	switch {
	case !serves:
		return &usageError{"no voice is in service, so nothing can be played", "take voices off the list under out, or play another rig"}
	case len(s.Ports()) == 0:
		return &usageError{"no voice has a jack, so there is no port to play on", "see choirloft check"}
	}
	return nil
}

// open opens the ends and the log, when it is known that none would harm another.
func (l *playLive) open(f *performance, rigFile string) (err error) {
	ins, err := l.parse("--in", l.ins)
	if err != nil {
		return err
	}
	outs, err := l.parse("--out", l.outs)
	if err != nil {
		return err
	}
	if err := l.spare(rigFile, ins, outs); err != nil {
		return err
	}
	if f.ins, err = openers(ins, true, f.teller.say); err != nil {
		return err
	}
	opened, err := openers(outs, false, f.teller.say)
	f.outs = map[int]*wire.Opener{}
	for i, port := range f.session.Ports()[:len(opened)] {
		f.outs[port] = opened[i]
	}
	if err != nil {
		return err
	}
	if l.log != "" {
		if f.log, err = keepLog(l.log, f.session, f.teller.say); err != nil {
			return err
		}
	}
	return begin(outs, opened, f.teller.say)
}

// begin empties the files that are written to: nothing can be refused any more.
func begin(outs []end, opened []*wire.Opener, say func(message, hint string)) error {
	for i, o := range opened {
		if err := o.Begin(); err != nil {
			return &fileError{o.Name, reason(err), ""}
		}
		if outs[i].older {
			say(o.Name+": an older file was replaced", "")
		}
	}
	return nil
}

func (f *performance) close() {
	for _, o := range f.ins {
		o.Close()
	}
	for _, o := range f.outs {
		o.Close()
	}
}

// play runs the session until it ends, and tells what happened.
func (l *playLive) play(ctx context.Context, f *performance) error {
	player := newPlayer(f.session, wire.Streams{In: l.stdin, Out: l.stdout}, f.outs, f.teller.say)
	player.once = l.once
	player.end, player.broke = f.end, f.signals.broken
	dismiss := l.guard(ctx, player)
	for _, o := range append(slices.Clone(f.ins), values(f.outs)...) {
		if at := o.Address(); at != "" {
			f.teller.say("waiting for a connection to tcp://"+at, "")
		}
	}
	if f.log != nil {
		go f.log.run(ctx, player)
	}
	l.perform(ctx, player, f)
	f.end()
	player.stop()
	for _, port := range player.standing {
		f.teller.say(fmt.Sprintf("output %d (%s) takes no bytes: %s", port+1, f.outs[port].Name, player.leftTo()), "")
	}
	f.log.close(player)
	dismiss()
	f.signals.release()
	f.teller.stop()
	return l.finish(f, player)
}

// perform connects the outputs and plays what comes in, until the inputs or the
// context end.
func (l *playLive) perform(ctx context.Context, player *player, f *performance) {
	defer player.rescue()
	l.connect(ctx, player, f.outs)
	go player.tick(ctx)
	if !l.quiet {
		go l.monitor(ctx, player, f)
	}
	if f.song != nil {
		playThrough(ctx, player, f.song)
	} else {
		l.listen(ctx, player, f.ins)
	}
	if ctx.Err() == nil {
		rules := &f.plan.Rules
		player.rest(rules.Gap + rules.Config.MinGate + 50*time.Millisecond)
	}
}

func values(m map[int]*wire.Opener) (all []*wire.Opener) {
	for _, o := range m {
		all = append(all, o)
	}
	return all
}

// connect opens the outputs and waits a little for them, so that what is there
// hears the first note; those that take longer are not waited for.
func (l *playLive) connect(ctx context.Context, player *player, to map[int]*wire.Opener) {
	ready := make(chan struct{}, len(to))
	for port := range to {
		once := sync.OnceFunc(func() { ready <- struct{}{} })
		go player.connect(ctx, port, once)
	}
	patience := time.After(500 * time.Millisecond)
	for range to {
		select {
		case <-ready:
		case <-patience:
			player.missing()
			return
		case <-ctx.Done():
			return
		}
	}
}

// listen reads all inputs until they have ended for good, or the context has.
func (l *playLive) listen(ctx context.Context, player *player, ins []*wire.Opener) {
	var inputs sync.WaitGroup
	for port, from := range ins {
		inputs.Go(func() { player.listen(ctx, port, from) })
	}
	ended := make(chan struct{})
	go func() {
		inputs.Wait()
		close(ended)
	}()
	select {
	case <-ended:
	case <-ctx.Done(): // an input may hang in a read that nothing ends
	}
}
