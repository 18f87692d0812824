//go:build linux || darwin

package wire

import (
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"os/signal"
	"sync"
	"syscall"
	"time"
	"unsafe"
)

// Guard is a process that holds duplicates of the outputs and shares the board.
// When this program is gone, however it went, the guard puts every output low that
// is not at rest, and ends. It lives in a session of its own, so that neither a key
// on the terminal nor its end reaches it.
type Guard struct {
	program, name string
	board         *Board
	memory        []byte
	shared        *os.File
	mu            sync.Mutex
	talk          *net.UnixConn
	gone          chan struct{}
}

// What is said to a guard: one of these and the number of an output. The output
// itself comes along with the first.
const (
	guardHold = 'h'
	guardDrop = 'd'
)

// NewGuard starts a guard: program is started as name, with [GuardCall].
func NewGuard(program, name string) (*Guard, error) {
	shared, err := sharedFile()
	if err != nil {
		return nil, err
	}
	g := &Guard{program: program, name: name, shared: shared}
	if g.board, g.memory, err = mapBoard(shared); err == nil {
		err = g.start()
	}
	if err != nil {
		shared.Close()
		return nil, err
	}
	return g, nil
}

// start starts the process.
func (g *Guard) start() error {
	ours, theirs, err := socketPair()
	if err != nil {
		return err
	}
	defer theirs.Close()
	cmd := &exec.Cmd{Path: g.program, Args: []string{g.name, GuardCall}, Dir: "/", ExtraFiles: []*os.File{theirs, g.shared}, SysProcAttr: &syscall.SysProcAttr{Setsid: true}}
	if err := cmd.Start(); err != nil {
		ours.Close()
		return err
	}
	gone := make(chan struct{})
	g.mu.Lock()
	defer g.mu.Unlock()
	g.talk, g.gone = ours, gone
	go func() {
		cmd.Wait()
		close(gone)
	}()
	return nil
}

// Restart starts another process in the place of one that is gone, with the same
// board. It holds no output yet.
func (g *Guard) Restart() error {
	g.mu.Lock()
	g.talk.Close()
	g.mu.Unlock()
	return g.start()
}

// sharedFile is one that has no name and lies in memory where it can: a page that
// must be written back to a disk would make a note wait.
func sharedFile() (*os.File, error) {
	f, err := os.CreateTemp("/dev/shm", "choirloft-")
	if err != nil {
		f, err = os.CreateTemp("", "choirloft-")
	}
	if err != nil {
		return nil, err
	}
	return f, errors.Join(os.Remove(f.Name()), f.Truncate(boardBytes))
}

func mapBoard(f *os.File) (*Board, []byte, error) {
	memory, err := syscall.Mmap(int(f.Fd()), 0, boardBytes, syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_SHARED)
	if err != nil {
		return nil, nil, err
	}
	return &Board{unsafe.Slice((*uint64)(unsafe.Pointer(&memory[0])), boardBytes/8)}, memory, nil
}

func socketPair() (ours *net.UnixConn, theirs *os.File, err error) {
	syscall.ForkLock.RLock()
	fds, err := syscall.Socketpair(syscall.AF_UNIX, syscall.SOCK_STREAM, 0)
	if err == nil {
		syscall.CloseOnExec(fds[0])
		syscall.CloseOnExec(fds[1])
	}
	syscall.ForkLock.RUnlock()
	if err != nil {
		return nil, nil, err
	}
	theirs = os.NewFile(uintptr(fds[1]), "guard")
	if ours, err = unixConn(os.NewFile(uintptr(fds[0]), "guard")); err != nil {
		theirs.Close()
	}
	return ours, theirs, err
}

// unixConn takes a file over.
func unixConn(f *os.File) (*net.UnixConn, error) {
	defer f.Close()
	c, err := net.FileConn(f)
	if err != nil {
		return nil, err
	}
	u, ok := c.(*net.UnixConn)
	if !ok {
		return nil, fmt.Errorf("found a %T, want a socket", c)
	}
	return u, nil
}

// Board is what the guard reads.
func (g *Guard) Board() *Board { return g.board }

// Gone is closed when the guard has ended.
func (g *Guard) Gone() <-chan struct{} {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.gone
}

// Hold gives an output to the guard. It fails where the output is nothing that the
// system can hand on.
func (g *Guard) Hold(output int, to io.Writer) error {
	c, ok := bare(to).(syscall.Conn)
	if !ok {
		return ErrNoGuard
	}
	raw, err := c.SyscallConn()
	if err != nil {
		return err
	}
	var sent error
	err = raw.Control(func(fd uintptr) { sent = g.say(guardHold, output, syscall.UnixRights(int(fd))) })
	return errors.Join(err, sent)
}

// Drop lets the guard close an output, which is open for as long as anybody has it
// open.
func (g *Guard) Drop(output int) { g.say(guardDrop, output, nil) }

func (g *Guard) say(what byte, output int, rights []byte) error {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.talk.SetWriteDeadline(time.Now().Add(patience))
	_, _, err := g.talk.WriteMsgUnix([]byte{what, byte(output)}, rights, nil)
	return err
}

// Dismiss ends the guard, and waits for it a little: it closes its outputs, and
// puts those low before that are not at rest.
func (g *Guard) Dismiss() {
	g.mu.Lock()
	g.talk.Close()
	g.mu.Unlock()
	defer g.shared.Close()
	select {
	case <-g.Gone():
	case <-time.After(500 * time.Millisecond):
	}
}

// StandGuard is the guard's own work, in the process that was called with
// [GuardCall].
func StandGuard() error {
	signal.Ignore(syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT, syscall.SIGPIPE)
	talk, err := unixConn(os.NewFile(3, "guard"))
	if err != nil {
		return err
	}
	board, _, err := mapBoard(os.NewFile(4, "board"))
	if err != nil {
		return err
	}
	held := map[int]*os.File{}
	for {
		what, output, f, err := listenTo(talk)
		if err != nil {
			break // whoever is guarded is gone
		}
		if old := held[output]; old != nil {
			old.Close()
			delete(held, output)
		}
		if what == guardHold && f != nil {
			held[output] = f
		}
	}
	putLow(board, held)
	return nil
}

// listenTo takes one thing that is said to a guard.
func listenTo(talk *net.UnixConn) (what byte, output int, f *os.File, err error) {
	data, rights := make([]byte, 2), make([]byte, syscall.CmsgSpace(4))
	n, m, _, _, err := talk.ReadMsgUnix(data, rights)
	if err == nil && n == 1 {
		_, err = io.ReadFull(talk, data[1:])
	}
	if err != nil || n == 0 {
		return 0, 0, nil, errors.Join(err, io.EOF)
	}
	if messages, err := syscall.ParseSocketControlMessage(rights[:m]); err == nil && len(messages) == 1 {
		if fds, err := syscall.ParseUnixRights(&messages[0]); err == nil && len(fds) == 1 {
			syscall.CloseOnExec(fds[0])
			f = os.NewFile(uintptr(fds[0]), "output")
		}
	}
	return data[0], int(data[1]) % outputs, f, nil
}

// putLow puts outputs low that are not at rest, and waits for those that take
// nothing, but not for ever.
func putLow(board *Board, held map[int]*os.File) {
	var writes sync.WaitGroup
	for output, f := range held {
		writes.Go(func() {
			if s := board.Of(output); !s.resting() {
				f.SetWriteDeadline(time.Now().Add(guardPatience))
				f.Write(s.AllOff(nil))
			}
			f.Close()
		})
	}
	done := make(chan struct{})
	go func() {
		writes.Wait()
		close(done)
	}()
	select {
	case <-done:
	case <-time.After(guardPatience):
	}
}
