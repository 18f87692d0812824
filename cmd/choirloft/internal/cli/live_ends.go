package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/wire"
	"choirloft/routing/live"
)

// parse reads the names of endpoints.
func (l *playLive) parse(flag string, names []string) ([]end, error) {
	var all []end
	for i, name := range names {
		e, err := wire.Parse(name)
		if err != nil {
			return nil, &usageError{flag + ": " + err.Error(), ""}
		}
		for _, other := range names[:i] {
			if other == name && name != os.DevNull {
				return nil, &usageError{fmt.Sprintf("%s %s stands here twice", flag, name), ""}
			}
		}
		of := end{what: flag + " " + name, Endpoint: e}
		switch e.Kind {
		case wire.Path:
			of.identify(name)
		case wire.Standard:
			of.identifyStream(l.stdin, l.stdout, flag == "--in")
		}
		all = append(all, of)
	}
	return all, nil
}

// end is one end of a stream, or a file, and what is known of where it is.
type end struct {
	wire.Endpoint
	what string
	path string      // resolved; empty where it has none
	info os.FileInfo // nil where nothing is there
	// older tells that it is a file that live wrote, which is written anew.
	older bool
}

// identify says which file a path is.
func (e *end) identify(path string) {
	e.info, _ = os.Stat(path)
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	} else if folder, err := filepath.EvalSymlinks(filepath.Dir(path)); err == nil {
		path = filepath.Join(folder, filepath.Base(path))
	}
	e.path = path
}

func (e *end) identifyStream(stdin io.Reader, stdout io.Writer, input bool) {
	var stream any = stdout
	if input {
		stream = stdin
	}
	if f, ok := stream.(*os.File); ok {
		e.info, _ = f.Stat()
	}
}

// twoWay tells whether it is a character device or a socket, whose two directions
// are two wires.
func (e *end) twoWay() bool {
	return e.info != nil && e.info.Mode()&(os.ModeCharDevice|os.ModeSocket) != 0
}

// is tells whether two ends are the same file.
func (e *end) is(other *end) bool {
	if e.info != nil && other.info != nil {
		return os.SameFile(e.info, other.info)
	}
	return e.path != "" && e.path == other.path || e.Same(other.Endpoint)
}

// spare refuses outputs that would harm what is read, a song, or each other.
func (l *playLive) spare(rigFile string, ins, outs []end) error {
	rig := end{what: "the rig"}
	rig.identify(rigFile)
	read := []end{rig}
	for i := range ins {
		if err := asPlayed(&ins[i]); err != nil {
			return err
		}
		if !ins[i].twoWay() {
			read = append(read, ins[i])
		}
	}
	written := slices.Clone(outs)
	if l.log != "" {
		log := end{what: "--log " + l.log}
		log.identify(l.log)
		written = append(written, log)
	}
	if err := apart(read, written); err != nil {
		return err
	}
	for i := range outs {
		if err := noSong(&outs[i]); err != nil {
			return err
		}
	}
	return nil
}

// apart refuses what is written where something is read, or written too.
func apart(read, written []end) error {
	for i := range written {
		w := &written[i]
		for j := range read {
			if w.is(&read[j]) {
				hint := "what is played would go over it; name another file"
				if w.Kind == wire.Listen {
					hint = "name another port for one of them"
				}
				return &usageError{w.what + ": this is also read, as " + read[j].what, hint}
			}
		}
		for j := range written[:i] {
			if w.is(&written[j]) && !null(w) {
				return &usageError{w.what + ": this is the same file as " + written[j].what, "name another file"}
			}
		}
	}
	return nil
}

// null tells whether it is where nothing stays.
func null(e *end) bool {
	info, err := os.Stat(os.DevNull)
	return err == nil && e.info != nil && os.SameFile(info, e.info)
}

// asPlayed refuses a file of another kind than bytes as they are played.
func asPlayed(in *end) error {
	if in.Kind != wire.Path || in.info == nil || !in.info.Mode().IsRegular() {
		return nil
	}
	head, err := headOf(in.path)
	switch {
	case err != nil:
		return unopened(in, true, err)
	case strings.HasPrefix(string(head), fileBegins):
		return midiFile(in.Name)
	case isRigName(in.path):
		return &fileError{in.Name, "this is a rig file, " + wantBytes, "the rig stands first in the call, --in names an instrument"}
	case isText(head):
		return textFile(in.Name)
	}
	return nil
}

// isRigName tells whether a file is a rig by its name.
func isRigName(path string) bool {
	ending := strings.ToLower(filepath.Ext(path))
	return ending == ".yaml" || ending == ".yml"
}

// noSong refuses to write raw bytes where a song or a rig is, or by its name would
// be.
func noSong(out *end) error {
	if out.Kind != wire.Path || out.info != nil && !out.info.Mode().IsRegular() {
		return nil
	}
	switch ending := strings.ToLower(filepath.Ext(out.path)); {
	case isRigName(out.path):
		return &usageError{out.what + ": the name is that of a rig file, want a FIFO, a device or a file of raw MIDI bytes", "give it another ending"}
	case ending == midiEnding || ending == ".midi" || ending == ".rmi" || beginsAsFile(out.path):
		return &usageError{out.what + ": this is a MIDI file, want a FIFO, a device or a file of raw MIDI bytes", "--log keeps what comes in as a MIDI file; choirloft write makes one of a song"}
	}
	return ours(out)
}

// ours refuses to write over a file that live has not written itself.
func ours(out *end) error {
	if out.info == nil || out.info.Size() == 0 {
		return nil
	}
	head, err := headOf(out.path)
	switch {
	case err != nil:
		return &fileError{out.Name, reason(err), "it is there, and what is in it would be lost; give --out another name"}
	case !live.IsOutput(head):
		return &usageError{out.what + ": this file is there, and choirloft live has not written it", "what is in it would be lost; give --out another name, or delete the file first"}
	}
	out.older = true
	return nil
}

// headOf returns how a file begins.
func headOf(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	head := make([]byte, headSize)
	n, err := io.ReadFull(f, head)
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = nil
	}
	return head[:n], err
}

// headSize is how much of a file is read to tell what it is.
const headSize = 4096

// beginsAsFile tells whether a file is a MIDI file.
func beginsAsFile(path string) bool {
	head, err := headOf(path)
	return err == nil && strings.HasPrefix(string(head), fileBegins)
}

// openers opens what can be opened at once.
func openers(ends []end, input bool, say func(message, hint string)) ([]*wire.Opener, error) {
	var all []*wire.Opener
	for _, e := range ends {
		o := &wire.Opener{Endpoint: e.Endpoint}
		o.Refused = func(from string) {
			say(fmt.Sprintf("%s: a second connection, from %s, is refused: one is there already", o.Name, from), "")
		}
		all = append(all, o)
		if err := o.Start(input); err != nil {
			return all, unopened(&e, input, err)
		}
	}
	return all, nil
}

// unopened says that an end cannot be opened, and the way out where one is known.
func unopened(e *end, input bool, err error) error {
	hint := ""
	switch {
	case errors.Is(err, wire.ErrInUse):
		hint = "give --out another name, or end the other first"
	case errors.Is(err, fs.ErrPermission) && input:
		hint = "name one that you may read"
	case errors.Is(err, fs.ErrPermission):
		hint = "name one that you may write"
	case errors.Is(err, fs.ErrNotExist) && !input:
		return &fileError{e.Name, "there is no folder " + filepath.Dir(e.Name), "make the folder first, or name another"}
	case errors.Is(err, fs.ErrNotExist) && e.Kind == wire.Path:
		hint = "want a FIFO, a device or a file that is there; mkfifo makes a FIFO"
	}
	if e.Kind == wire.Listen {
		hint = "choose another port, or tcp://:0 to let the system choose"
	}
	return &fileError{e.Name, wire.Plain(err), hint}
}
