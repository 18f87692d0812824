package cli

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/text"
	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/profiles/unit"
	"choirloft/routing/live"
	"choirloft/routing/plan"
)

// playLive is one call of the command live.
type playLive struct {
	*app
	ins, outs   []string
	log         string
	once, quiet bool
	json        bool
	bendRange   int
	overrides   plan.Overrides
}

// maxLogged is how many events a log holds: replay reads them again.
const maxLogged = 4_000_000

func (a *app) liveCommand() *cobra.Command {
	l := &playLive{app: a}
	cmd := &cobra.Command{
		Use:   "live RIG --in FROM --out TO",
		Short: "Deal what you play to the voices, as you play it",
		Long: `live plays a rig in real time: MIDI bytes come in, and go out dealt to the voices,
by the same engine as replay. There is an --out for each port that the voices are
on, in the order of the ports (see map), and an --in for each port that comes in.

FROM and TO are raw MIDI byte streams: - (standard input or output), a FIFO or a
character device by its path, tcp://HOST:PORT to connect, tcp://:PORT to be
connected to from this machine; or rtmidi://NAME where the program is built with
-tags rtmidi. What breaks is opened again, and its keys are let go. Ctrl-C ends
it: all gates go low, all pedals up. So does the end of standard input, if there
is no other.

--log FILE.mid keeps what came in: replay plays it again with the same decisions.

Caution: interfaces may keep what they were last told. Monitors on last, off first.

Exit status: 0 ended, 2 a wrong call or a file that cannot be used, 3 could not
run.`,
		Example:           "  choirloft live testdata/kiln-yard.yaml --in - --out /dev/null --out /dev/null",
		Args:              count(1, 1, "one rig file"),
		ValidArgsFunction: rigFiles,
		RunE:              func(cmd *cobra.Command, args []string) error { return l.run(cmd.Context(), args[0]) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&l.ins, "in", nil, "read MIDI bytes `FROM` here; the first is port 1 (default -)")
	flags.StringArrayVar(&l.outs, "out", nil, "write MIDI bytes `TO` here; one for each port of the voices")
	flags.StringVar(&l.log, "log", "", "keep what came in, as `FILE.mid`")
	flags.BoolVar(&l.once, "once", false, "end when all inputs have ended, and open none again")
	flags.BoolVar(&l.quiet, "quiet", false, "no monitor")
	flags.BoolVar(&l.json, "json", false, "print what happened as JSON in the end")
	flags.IntVar(&l.bendRange, "bend-range", 0, "bend range of every voice in semitones, `N` (default: one that covers the rig)")
	ruleFlags(cmd, &l.overrides)
	return cmd
}

// check refuses what cannot be done before anything is opened.
func (l *playLive) check(rigFile string) error {
	if len(l.ins) == 0 {
		l.ins = []string{"-"}
	}
	switch {
	case l.bendRange < 0 || l.bendRange > 127:
		return &usageError{fmt.Sprintf("--bend-range %d: want semitones from 1 to 127", l.bendRange), ""}
	case l.json && contains(l.outs, "-"):
		return &usageError{"--json and --out - are at odds: MIDI bytes go to standard output", "write them elsewhere"}
	case l.log != "" && !strings.HasSuffix(strings.ToLower(l.log), midiEnding):
		return &usageError{fmt.Sprintf("--log %s: want a name that ends in %s", l.log, midiEnding), ""}
	}
	if l.log != "" {
		return (&write{app: l.app}).spare(l.log, []string{rigFile})
	}
	return nil
}

func contains(names []string, name string) bool {
	for _, n := range names {
		if n == name {
			return true
		}
	}
	return false
}

// openers reads the names of endpoints.
func openers(flag string, names []string, input bool) ([]*wire.Opener, error) {
	var all []*wire.Opener
	for i, name := range names {
		e, err := wire.Parse(name)
		if err != nil {
			return nil, &usageError{flag + ": " + err.Error(), ""}
		}
		if err := e.Check(input); err != nil {
			return nil, &fileError{name, reason(err), ""}
		}
		for _, other := range names[:i] {
			if other == name && !(name == "/dev/null") {
				return nil, &usageError{fmt.Sprintf("%s %s stands here twice", flag, name), ""}
			}
		}
		o := &wire.Opener{Endpoint: e}
		if err := o.Start(); err != nil {
			return nil, &fileError{name, reason(err), ""}
		}
		all = append(all, o)
	}
	return all, nil
}

func (l *playLive) run(ctx context.Context, rigFile string) error {
	if err := l.check(rigFile); err != nil {
		return err
	}
	p, err := buildPlan(rigFile, l.overrides)
	if err != nil {
		return err
	}
	logged := 0
	if l.log != "" {
		logged = maxLogged
	}
	session, err := live.New(p, live.Options{Inputs: len(l.ins), BendRange: l.bendRange, Events: logged})
	if err != nil {
		return err
	}
	ports := session.Ports()
	if len(ports) != len(l.outs) {
		return &usageError{fmt.Sprintf("found %s, and the voices are on %s: %s", unit.Count(len(l.outs), "--out"),
			unit.Count(len(ports), "port"), livePorts(p)), "give an --out for each, in this order; /dev/null for one that is not there"}
	}
	ins, err := openers("--in", l.ins, true)
	if err != nil {
		return err
	}
	outs, err := openers("--out", l.outs, false)
	if err != nil {
		return err
	}
	to := map[int]*wire.Opener{}
	for i, port := range ports {
		to[port] = outs[i]
	}
	return l.play(ctx, p, session, ins, to)
}

// play runs the session until it ends, and tells what happened.
func (l *playLive) play(ctx context.Context, plan *plan.Plan, session *live.Session, ins []*wire.Opener, to map[int]*wire.Opener) error {
	var shown screen
	say := func(message string) {
		shown.Lock()
		defer shown.Unlock()
		shown.height = 0 // what is shown next stands below
		l.complain(message, "")
	}
	player := newPlayer(session, wire.Streams{In: l.stdin, Out: l.stdout}, to, say)
	player.once = l.once
	running, end := context.WithCancel(ctx)
	defer end()
	player.end = end
	for _, o := range append(ins, values(to)...) {
		if at := o.Address(); at != "" {
			say("waiting for a connection to tcp://" + at)
		}
		defer o.Close()
	}
	l.connect(running, player, to)
	go player.guard(func() { player.tick(running) })
	monitored := make(chan struct{})
	go func() {
		defer close(monitored)
		if !l.quiet {
			player.guard(func() { l.monitor(running, player, plan, &shown) })
		}
	}()
	player.guard(func() {
		l.listen(running, player, ins)
		if running.Err() == nil {
			player.rest(plan.Rules.Gap + plan.Rules.Config.MinGate + 50*time.Millisecond)
		}
	})
	end()
	bug := player.stop()
	<-monitored
	if bug != nil { // its figures are not to be trusted; what came in is
		l.report(l.keep(player))
		return bug
	}
	return l.finish(plan, player)
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
		go player.guard(func() { player.connect(ctx, port, once) })
	}
	patience := time.After(500 * time.Millisecond)
	for range to {
		select {
		case <-ready:
		case <-patience:
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
		inputs.Go(func() { player.guard(func() { player.listen(ctx, port, from) }) })
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

// finish writes the log and tells what happened. It does so too where the
// context has ended: that is how a session ends.
func (l *playLive) finish(p *plan.Plan, player *player) error {
	player.mu.Lock() // an input that hangs in a read may still come
	defer player.mu.Unlock()
	if err := l.writeLog(player); err != nil {
		return err
	}
	var view live.View
	player.session.Look(&view)
	r := contract.NewLive(p, contract.LiveInput{View: view, BendRange: player.session.BendRange(), Overruns: player.overrun, Unsent: player.unsent,
		Measured: player.latency.total, Latency: player.latency.within(0.999), Worst: player.latency.worst, Log: l.log, LogFull: player.session.Full()})
	if l.json {
		data, err := contract.JSON(r)
		if err != nil {
			return err
		}
		return l.print(data)
	}
	var b bytes.Buffer
	if err := text.Live(&b, r, text.Options{Width: viewWidth}); err != nil {
		return err
	}
	if contains(l.outs, "-") {
		_, err := io.Copy(l.stderr, &b)
		return err
	}
	return l.print(b.Bytes())
}

// keep writes the log alone.
func (l *playLive) keep(player *player) error {
	player.mu.Lock()
	defer player.mu.Unlock()
	return crew.Catch(func() error { return l.writeLog(player) })
}

// writeLog writes what came in, where that is asked for.
func (l *playLive) writeLog(player *player) error {
	if l.log == "" {
		return nil
	}
	score := player.session.Score()
	data, err := score.Bytes()
	if err != nil {
		return err
	}
	return replace(l.log, data)
}

// screen is standard error while a session runs.
type screen struct {
	sync.Mutex
	height int // lines of the monitor that stand at the end
}

// monitor shows what goes on, on standard error: on a terminal in place, four
// times a second, else a line a second while something happens.
func (l *playLive) monitor(ctx context.Context, player *player, p *plan.Plan, shown *screen) {
	terminal := isTerminal(l.stderr) && os.Getenv("TERM") != "dumb"
	every := time.Second
	if terminal {
		every = 250 * time.Millisecond
	}
	ticker := time.NewTicker(every)
	defer ticker.Stop()
	var view live.View
	events := -1
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
		latency := player.look(&view)
		view.At = player.clock()
		if !terminal && view.Events == events {
			continue
		}
		events = view.Events
		lines := liveLines(p, &view, latency, terminal)
		l.show(lines, terminal, shown)
	}
}

// show prints the monitor, on a terminal over what it showed before.
func (l *playLive) show(lines []string, terminal bool, shown *screen) {
	shown.Lock()
	defer shown.Unlock()
	if terminal && shown.height > 0 {
		fmt.Fprintf(l.stderr, "\x1b[%dA", shown.height)
	}
	for _, line := range lines {
		if terminal {
			line = "\x1b[2K" + line
		}
		fmt.Fprintln(l.stderr, line)
	}
	shown.height = len(lines)
}
