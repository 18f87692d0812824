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

// diskView is the rig file as somebody else has left it, or the text on the desk as another tab has.
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

// onDisk reads a rig file as it is now.
func onDisk(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := profiles.ReadAtMost(f)
	if err == nil && len(data) > maxText {
		_, faults := profiles.Read(path, data, nil)
		return nil, faults
	}
	return data, err
}

// theirs answers with the file on disk, and how it differs from the text on the desk; or, of a
// tab that sends its own text, with the text on the desk, and how it differs from that.
func (s *server) theirs(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		Mine *string `json:"mine"`
	}](w, r, 2*maxText)
	if err != nil {
		return err
	}
	s.desk.mu.RLock()
	theirs := string(s.desk.text)
	s.desk.mu.RUnlock()
	mine := theirs
	if body.Mine != nil {
		mine = *body.Mine
	} else {
		path, err := s.desk.where()
		if err != nil {
			return err
		}
		data, err := onDisk(path)
		if err != nil {
			return err
		}
		theirs = string(data)
	}
	return send(w, &diskView{theirs, differ(theirs, mine)})
}

// settle ends a conflict with the file on disk, in one of three ways. The error is
// [files.ErrChanged] where that is no longer what whoever chose has seen.
func (d *Desk) settle(ctx context.Context, keep string, seen []byte) error {
	path, err := d.where()
	if err != nil {
		return err
	}
	now, err := onDisk(path)
	if err != nil {
		return err
	}
	if !bytes.Equal(now, seen) {
		return files.ErrChanged
	}
	d.mu.Lock()
	mine := d.text
	d.disk, d.strayed = now, false
	d.mu.Unlock()
	switch keep {
	case "mine":
		return d.Save(ctx)
	case "theirs":
		return d.Edit(now)
	case "both":
		return d.Edit([]byte(both("on disk", string(now), string(mine))))
	}
	return noChoice(keep)
}

func noChoice(keep string) error {
	return &refusal{http.StatusBadRequest, "found " + keep + ", want mine, theirs or both", ""}
}

// settleTabs ends a conflict of the text of a tab with that on the desk, in the same three ways. The
// error is [errOvertaken] where that is no longer what whoever chose has seen.
func (d *Desk) settleTabs(keep, seen, mine string, by origin) error {
	d.mu.RLock()
	now := string(d.text)
	by.From = d.edition
	d.mu.RUnlock()
	if now != seen {
		return errOvertaken
	}
	switch keep {
	case "mine":
		return d.edit([]byte(mine), by)
	case "theirs":
		return nil
	case "both":
		return d.edit([]byte(both("other tab", seen, mine)), by)
	}
	return noChoice(keep)
}

func (s *server) settle(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		Keep string  `json:"keep"`
		Seen string  `json:"seen"`
		Mine *string `json:"mine"`
		origin
	}](w, r, 4*maxText)
	if err != nil {
		return err
	}
	if body.Mine != nil {
		err = s.desk.settleTabs(body.Keep, body.Seen, *body.Mine, body.origin)
	} else {
		err = s.desk.settle(context.WithoutCancel(r.Context()), body.Keep, []byte(body.Seen))
	}
	if err != nil {
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

// both is a text of one's own, with the lines that only the other has as comments where they
// were, which say from where.
func both(from, theirs, mine string) string {
	a, b, ops := compare(theirs, mine)
	var lines []string
	for _, op := range ops {
		if op.Tag != 'e' {
			for _, line := range a[op.I1:op.I2] {
				lines = append(lines, strings.TrimRight("# "+from+": "+line, " "))
			}
		}
		lines = append(lines, b[op.J1:op.J2]...)
	}
	return strings.Join(lines, "\n")
}
