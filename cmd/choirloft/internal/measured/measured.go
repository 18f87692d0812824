// Package measured works out what readings of a rack's voices say, or the recording of a take,
// and the rig's text with all of it written in. It reads and writes no file of its own.
//
// Most users need two calls: [Job.Readings] and [Job.Take]. Both return what the command tune
// prints, and the rig as it would be.
package measured

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing/plan"
	"choirloft/routing/tuning"
)

// Job is how measurements of a rig are to be taken.
type Job struct {
	File    *profiles.File
	Name    string  // of the rig, as answers name it
	Within  float64 // cents up to which a voice counts as in tune, above 0
	Date    string  // of the recording of a take, as in 2026-11-25; may be empty
	Turned  []int   // voices whose trimmers were turned since the last day; nil where nobody says
	Instead bool    // of turning trimmers, correct
	Write   bool    // it is to be written
}

// Error says why measurements are of no use, and the way out.
type Error struct {
	File          string // that is at fault; empty where it is the call
	Message, Hint string
}

func (e *Error) Error() string {
	if e.File != "" {
		return e.File + ": " + e.Message
	}
	return e.Message
}

// Endings are those of files of readings.
var Endings = []string{".csv", ".yaml", ".yml"}

// Read reads readings by the ending of their file. The error is an *[Error] or [profiles.Faults].
func Read(name string, data []byte, rig *profiles.Rig) ([]tuning.Reading, error) {
	ending := strings.ToLower(filepath.Ext(name))
	if ending == ".mid" || ending == ".midi" {
		return nil, &Error{"", name + ": this is a song, and a song goes with a take", "add --take and the file that was played, and --wav and its recording"}
	}
	if !slices.Contains(Endings, ending) {
		return nil, &Error{"", fmt.Sprintf("%s: the ending %q names no readings, there are .csv and .yaml", name, filepath.Ext(name)), ""}
	}
	read := tuning.ReadYAML
	if ending == ".csv" {
		read = tuning.ReadCSV
	}
	readings, faults := read(name, data, rig)
	if len(faults) > 0 {
		return nil, faults
	}
	return readings, nil
}

// noneTurned says that no trimmer was turned.
const noneTurned = "none"

// Turned are the voices that are named as turned: none for "none", nil for no name. The error is an *[Error].
func Turned(names []string, rig *profiles.Rig) (all []int, err error) {
	if len(names) == 1 && strings.EqualFold(strings.TrimSpace(names[0]), noneTurned) {
		return []int{}, nil
	}
	for _, name := range names {
		some := rig.VoicesNamed(name)
		if len(some) == 0 {
			return nil, &Error{"", fmt.Sprintf("--turned %s: the rig has no such voice, want %s, or %s alone", name, rig.VoiceSpan(), noneTurned),
				"name voices, K1,K3, several in a row, K1-K4, or a bank, K"}
		}
		all = append(all, some...)
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}

// Readings says what readings tell, heard ones of recordings among them, and returns the file with the corrections in it.
// Through is for those that do not say it. Errors are *[Error].
func (j *Job) Readings(readings []tuning.Reading, through tuning.Through, recordings []tuning.Heard) (*contract.Tune, *profiles.File, error) {
	in, err := j.input()
	if err != nil {
		return nil, nil, err
	}
	in.Readings, in.Recordings = len(readings), recordings
	readings = tuning.Anew(readings, func(voice int) bool { return slices.Contains(j.Turned, voice) })
	after, err := j.study(readings, through, &in)
	if err != nil {
		return nil, nil, err
	}
	return contract.NewTune(in), after, nil
}

func (j *Job) input() (in contract.TuneInput, err error) {
	in = contract.TuneInput{RigFile: j.Name, Turned: j.Turned}
	in.Before, err = plan.Build(j.File.Rig, plan.Overrides{})
	return in, err
}

// study works readings out, and returns the file with the corrections in it.
func (j *Job) study(readings []tuning.Reading, through tuning.Through, in *contract.TuneInput) (*profiles.File, error) {
	tuning.Say(j.File.Rig, readings, through)
	in.Study = tuning.Study(j.File.Rig, readings, j.Within)
	if j.Instead {
		in.Study.InsteadOfTrimming()
	}
	if err := j.ask(in.Study); err != nil {
		return nil, err
	}
	after, err := j.File.WithCorrections(in.Study.Corrections())
	if err != nil {
		return nil, &Error{j.Name, err.Error(), ""}
	}
	if j.Write && len(in.Study.Corrections()) > 0 {
		in.Written = j.File.Path
	}
	in.After, err = plan.Build(after.Rig, plan.Overrides{})
	return after, err
}

// ask refuses to write where a voice moved as if a trimmer had been turned, and nobody says
// whether it was: written as drift it would count for that of all voices.
func (j *Job) ask(study *tuning.Result) error {
	jumps := study.JumpsOf(j.Date)
	if !j.Write || j.Turned != nil || len(jumps) == 0 {
		return nil
	}
	most := slices.MaxFunc(jumps, func(a, b tuning.Jump) int { return cmp.Compare(a.Apart(), b.Apart()) })
	name := func(x tuning.Jump) string { return study.Rig.Voices[x.Voice.Voice].Name }
	var names, others []string
	for _, x := range jumps {
		if n := name(x); !slices.Contains(names, n) {
			names = append(names, n)
			if n != name(most) {
				others = append(others, n)
			}
		}
	}
	message := fmt.Sprintf("--write: %s moved by %s cents from %s to %s", name(most), unit.Signed(most.Cents), most.From, most.To)
	if !math.IsNaN(most.Others) {
		message += ", the others by " + unit.Signed(most.Others)
	}
	message += ", and drift explains up to " + unit.Tenths(most.Limit)
	if len(others) > 0 {
		message += "; " + unit.Several(others) + " moved too"
	}
	return &Error{"", message, fmt.Sprintf("say --turned %s for trimmers that were turned, so that these days begin anew, or --turned %s", strings.Join(names, ","), noneTurned)}
}
