package contract

import (
	"strconv"
	"strings"
)

// noteHead names the fields of [NoteRecords].
var noteHead = []string{"file", "part", "key", "key_name", "voice", "start_s", "start_bar", "start_beat", "gate_end_s", "gate_end_bar", "gate_end_beat",
	"end_s", "end_bar", "end_beat", "ending", "spans", "wrong_pitch_cents", "late_s", "port", "channel", "fingerprint"}

// NoteRecords lists every note of some songs as a table of a row a note, with a
// head. Several voices are parted by spaces, and so are the spans, as in
// 3:0.5-1.25: on voice 3 from 0.5 to 1.25 seconds. The last field is the code of
// the plan.
func NoteRecords(code string, songs ...*Result) [][]string {
	all := [][]string{noteHead}
	for _, r := range songs {
		for i := range r.Notes {
			n := &r.Notes[i]
			voices, spans := make([]string, len(n.Voice)), make([]string, len(n.Spans))
			for j, v := range n.Voice {
				voices[j] = strconv.Itoa(v)
			}
			for j, s := range n.Spans {
				spans[j] = strconv.Itoa(s.Voice) + ":" + plain(&s.FromS) + "-" + plain(&s.ToS)
			}
			all = append(all, []string{r.Song.File, n.Part, strconv.Itoa(n.Key), n.KeyName, strings.Join(voices, " "),
				plain(&n.StartS), strconv.Itoa(n.StartBar), plain(&n.StartBeat), plain(n.GateEndS), whole(n.GateEndBar), plain(n.GateEndBeat),
				plain(n.EndS), whole(n.EndBar), plain(n.EndBeat), n.Ending, strings.Join(spans, " "), plain(&n.WrongCents), plain(&n.LateS), strconv.Itoa(n.Port), strconv.Itoa(n.Channel), code})
		}
	}
	return all
}

// lossHead names the fields of [LossRecords].
var lossHead = []string{"file", "at_s", "bar", "beat", "part", "key", "key_name", "voice", "voice_name", "ending", "lost_s", "level_db",
	"by_part", "by_key", "by_key_name", "cause", "outer", "kind", "heard_db", "flag", "fingerprint"}

// LossRecords lists every loss of some songs as a table of a row a loss, with a
// head. The last field is the code of the plan.
func LossRecords(code string, songs ...*Result) [][]string {
	all := [][]string{lossHead}
	for _, r := range songs {
		for i := range r.Losses {
			l := &r.Losses[i]
			heard := HeardOne{}
			if l.HeardOne != nil {
				heard = *l.HeardOne
			}
			all = append(all, []string{r.Song.File, plain(&l.AtS), strconv.Itoa(l.BarNumber), plain(&l.Beat), l.Part, strconv.Itoa(l.Key), l.KeyName,
				whole(l.Voice), text(l.VoiceName), l.Ending, plain(&l.LostS), plain(l.LevelDB), text(l.ByPart), whole(l.ByKey), text(l.ByKeyName),
				l.Cause, strconv.FormatBool(l.Outer), heard.Kind, plain(heard.HeardDB), text(heard.Flag), code})
		}
	}
	return all
}

// plain prints a number with all its digits and without an exponent; nothing
// where there is none.
func plain(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

func whole(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}
