package page

import (
	"bytes"
	"context"
	"net/http"
	"os"
	"strings"

	"github.com/pmezard/go-difflib/difflib"

	"choirloft/cmd/choirloft/internal/files"
	"choirloft/profiles"
)

// mostCompared is up to how many lines two texts are compared; of longer ones all counts as
// changed, since comparing takes time by the product.
const mostCompared = 20_000

// diskView is the rig file as somebody else has left it.
type diskView struct {
	Text  string       `json:"text"`
	Lines []differView `json:"lines"`
}

// differView is a line of the difference. The sign is − for a line that only the file has, + for
// one that only the text on the desk has, … for lines left out, else a space.
type differView struct {
	Sign string `json:"sign"`
	Line string `json:"line"`
}

// onDisk reads the rig file as it is now.
func (d *Desk) onDisk() ([]byte, error) {
	f, err := os.Open(d.path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := profiles.ReadAtMost(f)
	if err == nil && len(data) > maxText {
		_, faults := profiles.Read(d.path, data, nil)
		return nil, faults
	}
	return data, err
}

// theirs answers with the file on disk, and how it differs from the text on the desk.
func (s *server) theirs(w http.ResponseWriter, _ *http.Request) error {
	data, err := s.desk.onDisk()
	if err != nil {
		return err
	}
	s.desk.mu.RLock()
	mine := string(s.desk.text)
	s.desk.mu.RUnlock()
	return send(w, &diskView{string(data), differ(string(data), mine)})
}

// settle ends a conflict with the file on disk, in one of three ways. The error is
// [files.ErrChanged] where that is no longer what whoever chose has seen.
func (d *Desk) settle(ctx context.Context, keep string, seen []byte) error {
	now, err := d.onDisk()
	if err != nil {
		return err
	}
	if !bytes.Equal(now, seen) {
		return files.ErrChanged
	}
	d.mu.Lock()
	mine := d.text
	d.disk = now
	d.mu.Unlock()
	switch keep {
	case "mine":
		return d.Save(ctx)
	case "theirs":
		return d.Edit(now)
	case "both":
		return d.Edit([]byte(both(string(now), string(mine))))
	}
	return &refusal{http.StatusBadRequest, "found " + keep + ", want mine, theirs or both", ""}
}

func (s *server) settle(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		Keep string `json:"keep"`
		Seen string `json:"seen"`
	}](w, r, 2*maxText)
	if err != nil {
		return err
	}
	if err := s.desk.settle(context.WithoutCancel(r.Context()), body.Keep, []byte(body.Seen)); err != nil {
		return conflict(err)
	}
	return send(w, s.view())
}

// compare lists what became of the lines of a text on the way to another.
func compare(from, to string) (a, b []string, ops []difflib.OpCode) {
	a, b = strings.Split(from, "\n"), strings.Split(to, "\n")
	if len(a) > mostCompared || len(b) > mostCompared {
		return a, b, []difflib.OpCode{{Tag: 'r', I2: len(a), J2: len(b)}}
	}
	return a, b, difflib.NewMatcher(a, b).GetOpCodes()
}

// differ is the difference line by line, with two lines around each change.
func differ(theirs, mine string) (lines []differView) {
	const around = 2
	a, b, ops := compare(theirs, mine)
	add := func(sign string, all []string) {
		for _, line := range all {
			lines = append(lines, differView{sign, line})
		}
	}
	for i, op := range ops {
		if op.Tag != 'e' {
			add("−", a[op.I1:op.I2])
			add("+", b[op.J1:op.J2])
			continue
		}
		same, before, after := a[op.I1:op.I2], around, around
		if i == 0 {
			before = 0
		}
		if i == len(ops)-1 {
			after = 0
		}
		if len(same) <= before+after+1 {
			add(" ", same)
			continue
		}
		add(" ", same[:before])
		lines = append(lines, differView{"…", ""})
		add(" ", same[len(same)-after:])
	}
	return lines
}

// both is the text on the desk, with the lines that only the file has as comments where they
// were.
func both(theirs, mine string) string {
	a, b, ops := compare(theirs, mine)
	var lines []string
	for _, op := range ops {
		if op.Tag != 'e' {
			for _, line := range a[op.I1:op.I2] {
				lines = append(lines, strings.TrimRight("# on disk: "+line, " "))
			}
		}
		lines = append(lines, b[op.J1:op.J2]...)
	}
	return strings.Join(lines, "\n")
}
