package cli

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"choirloft/alloc/crew"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/page"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/profiles/pattern"
)

// serve is one call of the command serve.
type serve struct {
	*app
	host  string
	names []string
	token string // that others must show; empty where nobody else can ask
	port  int
	open  bool
	bugs  atomic.Int64 // that requests have met
}

func (a *app) serveCommand() *cobra.Command {
	s := &serve{app: a}
	cmd := &cobra.Command{
		Use:   "serve [RIG] [SONG…]",
		Short: "Work on a rig and its songs in a browser on this machine",
		Long: `serve opens a page on this machine: the rack, the song and the paper as views of
one plan. Without a rig it begins with a new one, made for the first song if there
is one. Save then asks for a name in this folder, and writes over no file. It needs
no network, and other machines cannot reach it unless --host
says so. 0.0.0.0 is every address of this machine, and serve prints them. It
answers to no other names, but for those that --name gives it. The address for other
machines has a token in it, as printed. Only Save writes the rig file. Ctrl-C ends it.`,
		Example: "  choirloft serve testdata/kiln-yard.yaml testdata/slow-kiln.mid --open\n" +
			"  choirloft serve testdata/slow-kiln.mid --open\n" +
			"  choirloft serve testdata/kiln-yard.yaml --port 0",
		Args:              count(0, -1, "a rig file and songs, or songs alone, or nothing"),
		ValidArgsFunction: rigThenSongs,
		RunE:              func(cmd *cobra.Command, args []string) error { return s.run(cmd.Context(), args) },
	}
	cmd.Flags().IntVar(&s.port, "port", 4870, "`PORT` to listen on, 0 for any that is free")
	cmd.Flags().StringVar(&s.host, "host", "127.0.0.1", "`ADDRESS` to listen on")
	cmd.Flags().StringArrayVar(&s.names, "name", nil, "host `NAME` that leads to this machine, to answer to as well")
	cmd.Flags().BoolVar(&s.open, "open", false, "open the page in the browser")
	return cmd
}

func (s *serve) run(ctx context.Context, args []string) error {
	var (
		desk  *page.Desk
		err   error
		songs = args
		tools = page.Tools{ReadSong: playable, Write: s.save, Create: s.create, Scratch: scratchFile, Bug: s.met}
	)
	if len(args) == 0 || isSong(args[0]) {
		desk, err = page.NewUntitled(".", tools)
	} else {
		songs = args[1:]
		desk, err = s.onRig(ctx, args[0], tools)
	}
	if err != nil {
		return err
	}
	if err := s.lay(ctx, desk, songs); err != nil {
		return err
	}
	listener, err := s.listen()
	if err != nil {
		return err
	}
	if err := s.answer(ctx, desk, listener); err != nil {
		return err
	}
	if s.bugs.Load() > 0 {
		return statusError(exitFailed)
	}
	return nil
}

// scratchFile is a file for a recording that is read.
func scratchFile() (*os.File, error) { return os.CreateTemp("", "choirloft-recording-") }

// onRig is a desk with the rig of a file.
func (s *serve) onRig(ctx context.Context, rigFile string, tools page.Tools) (*page.Desk, error) {
	if info, err := os.Stat(rigFile); err == nil && !info.IsDir() && !info.Mode().IsRegular() {
		return nil, &fileError{rigFile, "this is no file on a disk, so no change could be saved in it", "name a rig file"}
	}
	if _, err := s.openRig(ctx, rigFile); err != nil {
		return nil, err
	}
	desk, err := page.NewDesk(rigFile, tools)
	var faults profiles.Faults
	if err != nil && !errors.As(err, &faults) {
		return nil, &fileError{rigFile, reason(err), ""}
	}
	return desk, err
}

// isSong tells whether a file is a song by its first bytes, or where there is none by its ending.
func isSong(path string) bool {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return slices.Contains(songs, strings.ToLower(filepath.Ext(path)))
	case !info.Mode().IsRegular(): // one that waits for who writes would be waited for here
		return false
	}
	f, err := os.Open(path)
	if err != nil {
		return false // who opens it next says why
	}
	defer f.Close()
	var head [4]byte
	io.ReadFull(f, head[:])
	return string(head[:]) == "MThd" || string(head[:]) == "RIFF"
}

// met tells of the first bug that a request has met. The page goes on: its text
// may not be saved yet.
func (s *serve) met(p *crew.Panic) {
	if s.bugs.Add(1) == 1 {
		s.bug(p)
	}
}

// save puts the text of a rig in the place of what was read of its file.
func (s *serve) save(ctx context.Context, path string, was, text []byte) error {
	return s.commit(ctx, files.Out{Name: path, Was: was, Data: text})
}

// create writes the text of a rig that has no file yet.
func (s *serve) create(ctx context.Context, path string, text []byte) error {
	return s.commit(ctx, files.Out{Name: path, Data: text, New: true})
}

// lay puts songs on the desk. One that cannot be read is reported and left.
func (s *serve) lay(ctx context.Context, desk *page.Desk, args []string) error {
	songs, err := collect(args)
	if err != nil {
		return err
	}
	for _, from := range songs {
		song, err := s.load(ctx, from, 0)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			s.report(err)
			continue
		}
		path := from.path
		if path == standardInput {
			path = "" // it is read but once
		}
		added, err := desk.Add(songName(from.path), path, song)
		if err != nil {
			return err
		}
		if added.Proposes != nil {
			say.Fill(added.Proposes)
			s.complain("a rig is proposed for "+added.Proposes.Summary, strings.Join(say.LineSentences(added.Proposes), "\n"))
		}
		if added.Unproposed != "" {
			s.complain(added.Name+": "+added.Unproposed, "")
		}
	}
	return nil
}

// hostName is a name as RFC 1123, 2.1 has it, in letters that go over the wire.
var hostName = pattern.Of(`^[0-9A-Za-z]([0-9A-Za-z.-]*[0-9A-Za-z])?$`)

// listen takes the port, on this machine alone unless asked otherwise.
func (s *serve) listen() (net.Listener, error) {
	if s.port < 0 || s.port > 65535 {
		return nil, &usageError{fmt.Sprintf("--port %d: ports are from 0 to 65535", s.port), ""}
	}
	ip := net.ParseIP(s.host)
	if ip == nil {
		return nil, &usageError{fmt.Sprintf("--host %s: want an address, as in 127.0.0.1", s.host), ""}
	}
	for _, name := range s.names {
		if !hostName().MatchString(name) || len(name) > 253 {
			return nil, &usageError{fmt.Sprintf("--name %s: want a host name without a port, as in studio.local", name), ""}
		}
	}
	if !ip.IsLoopback() {
		s.complain(fmt.Sprintf("warning: on %s other machines can reach this page: anyone with the token sees your rig and songs, and can change and save rig files; nothing is encrypted", s.host),
			"leave --host out to keep it to this machine")
	}
	if ip.IsLoopback() && len(s.names) > 0 {
		s.complain("note: "+s.names[0]+" leads here only for this machine, or through a tunnel", "--host 0.0.0.0 lets other machines in")
	}
	if !ip.IsLoopback() || len(s.names) > 0 {
		s.token = rand.Text()
	}
	network := "tcp"
	if ip.To4() != nil {
		network = "tcp4" // 0.0.0.0 would stand for all addresses, else
	}
	listener, err := net.Listen(network, net.JoinHostPort(s.host, strconv.Itoa(s.port)))
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, &usageError{fmt.Sprintf("--port %d: something else is listening there, perhaps this page already", s.port), "take another, or --port 0 for any that is free"}
	case err != nil:
		return nil, fmt.Errorf("--port %d: %s", s.port, reason(err))
	}
	return listener, nil
}

// answer serves the page until ctx ends; then what is being answered may take
// two seconds.
func (s *serve) answer(ctx context.Context, desk *page.Desk, listener net.Listener) error {
	server := &http.Server{
		Handler:           page.New(desk, page.Door{Hosts: page.Hosts(listener.Addr(), s.names...), Token: s.token}),
		ReadHeaderTimeout: 10 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		BaseContext:       func(net.Listener) context.Context { return ctx },
		ErrorLog:          log.New(io.Discard, "", 0), // of connections that others broke off
	}
	at := addresses(listener.Addr(), s.names, s.token)
	fmt.Fprintln(s.stdout, strings.Join(at, "\n"))
	if len(at) > 1 {
		fmt.Fprintln(s.stderr, "Open one of these addresses, as it stands here. No other name of this machine works.")
	}
	fmt.Fprintln(s.stderr, "Ctrl-C ends it.")
	if s.open {
		if err := openBrowser(at[0]); err != nil {
			s.complain("could not open a browser: "+reason(err), "open "+at[0]+" yourself")
		}
	}
	stopped := context.AfterFunc(ctx, func() {
		patience, cancel := context.WithTimeout(context.WithoutCancel(ctx), 2*time.Second)
		defer cancel()
		if server.Shutdown(patience) != nil {
			server.Close()
		}
	})
	defer stopped()
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// addresses are where a page is found: what it listens on, or where that is all
// of the machine, each of its addresses, its own first; then the names that it was
// given. Those that are not this machine's own have the token.
func addresses(on net.Addr, names []string, token string) []string {
	host, port, _ := net.SplitHostPort(on.String()) // of a listener it has both
	ip := net.ParseIP(host)
	ips := []net.IP{ip}
	if ip.IsUnspecified() {
		ips = append([]net.IP{net.IPv4(127, 0, 0, 1)}, others(ip.To4() != nil)...)
	}
	list := make([]string, len(ips), len(ips)+len(names))
	for i, ip := range ips {
		list[i] = "http://" + net.JoinHostPort(ip.String(), port) + "/"
		if token != "" && !ip.IsLoopback() {
			list[i] += token + "/"
		}
	}
	for _, name := range names {
		list = append(list, "http://"+net.JoinHostPort(name, port)+"/"+token+"/")
	}
	return list
}

// others are the addresses of this machine by which others reach it.
func others(only4 bool) (ips []net.IP) {
	all, _ := net.InterfaceAddrs() // without them it is found here
	for _, a := range all {
		n, ok := a.(*net.IPNet)
		if ok && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() && (n.IP.To4() != nil || !only4) {
			ips = append(ips, n.IP)
		}
	}
	return ips
}

// openBrowser shows an address in the user's browser.
func openBrowser(address string) error {
	switch runtime.GOOS {
	case "darwin":
		return exec.Command("open", address).Start()
	case "windows":
		return exec.Command("rundll32", "url.dll,FileProtocolHandler", address).Start()
	}
	return exec.Command("xdg-open", address).Start()
}
