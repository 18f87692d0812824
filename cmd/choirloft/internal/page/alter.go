package page

import (
	"fmt"
	"net/http"
	"os"

	"choirloft/profiles/alter"
)

// mostDeeds are done at once.
const mostDeeds = 100

// Alter does deeds to the text on the desk, all of them or none.
func (d *Desk) Alter(deeds []alter.Deed, by origin) error {
	folder, err := os.OpenRoot(d.folder)
	if err != nil {
		return err
	}
	defer folder.Close()
	d.mu.Lock()
	defer d.mu.Unlock()
	switch {
	case d.overtaken(by):
		return errOvertaken
	case len(d.faults) > 0:
		return &alter.Refusal{Why: fmt.Sprintf("the text has %d faults", len(d.faults)), Hint: "correct those first, in the rig text"}
	case len(deeds) > mostDeeds:
		return &alter.Refusal{Why: fmt.Sprintf("%d edits at once, want at most %d", len(deeds), mostDeeds), Hint: "send fewer"}
	}
	text, rig, err := alter.Do(d.rig.File, d.text, deeds, folder.FS())
	if err != nil {
		return err
	}
	if len(text) > maxText {
		return &alter.Refusal{Why: fmt.Sprintf("the text would have %d bytes, want at most %d", len(text), maxText), Hint: "take something else out first"}
	}
	d.write(text, by)
	d.rig = rig
	return nil
}

// alter does what a player asks of the rig: an edit of its text.
func (s *server) alter(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		Deeds []alter.Deed `json:"deeds"`
		origin
	}](w, r, 1<<20)
	if err != nil {
		return err
	}
	if err := s.desk.Alter(body.Deeds, body.origin); err != nil {
		return conflict(err)
	}
	return send(w, s.view())
}
