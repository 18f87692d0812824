package alter

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/profiles/wild"
)

func init() { corpora.Checks("60", "400") }

// drawn is a deed for a rig, of any kind, mostly one that can be done.
func drawn(t *rapid.T, rig *profiles.Rig) Deed {
	pick := func(what string, from ...string) string { return rapid.SampledFrom(from).Draw(t, what) }
	var parts, banks, boxes []string
	for _, p := range rig.Parts {
		parts = append(parts, p.Name)
	}
	for _, b := range rig.Banks {
		banks = append(banks, b.Name)
	}
	for _, f := range rig.Interfaces {
		boxes = append(boxes, f.Name)
	}
	d := Deed{Do: pick("do", "channel", "part", "part-name", "part-gone", "banks", "transpose", "mode", "bank", "bank-gone", "bank-voices",
		"interface", "zero-key", "range", "interface-more", "interface-gone", "name", "voice", "unison")}
	profile := pick("profile", "cv4-gate4", "cv16-gate16", "audio-dc8")
	switch d.Do {
	case "channel", "part":
		if d.Do == "channel" {
			d.Part = pick("part", append(parts, "")...)
		} else {
			d.Part = pick("new part", append(parts, "", "Left hand", "yes", "K1", "a: b", "\"", "ö\n")...)
		}
		d.Channel, d.Port, d.Also = rapid.IntRange(0, 16).Draw(t, "channel"), oneOf(t, "port", 0, 0, 0, 1, 2), rapid.Bool().Draw(t, "also")
		d.Zone = pick("zone", "", "", "", "mpe lower", "mpe upper 3")
	case "part-name":
		d.Part, d.Name = pick("part", parts...), pick("name", append(parts, "", "Left hand", "no", "L2", "{}", "'")...)
	case "banks":
		d.Part = pick("part", parts...)
		d.Banks = rapid.SliceOfDistinct(rapid.SampledFrom(banks), rapid.ID[string]).Draw(t, "banks")
	case "part-gone", "transpose", "mode":
		d.Part, d.Semitones = pick("part", parts...), rapid.IntRange(-50, 50).Draw(t, "semitones")
		d.Mode = pick("mode", "poly", "mono last", "mono low", "mono high")
	case "bank", "bank-gone", "bank-voices":
		d.Bank, d.Voices = pick("bank", banks...), rapid.IntRange(0, 6).Draw(t, "voices")
		d.Kind = pick("kind", "", "", "saw-lowpass", "brick")
		if d.Do == "bank-voices" {
			d.Kind = ""
		}
	case "interface", "interface-gone", "interface-more":
		d.Name, d.Profile = pick("box", append(boxes, "main")...), profile
	case "zero-key", "range":
		key := rapid.IntRange(-1, 128).Draw(t, "key")
		d.Name, d.Key = pick("box", append(boxes, "main")...), &key
		d.LowV, d.HighV = float64(rapid.IntRange(-50, 10).Draw(t, "low"))/2, float64(rapid.IntRange(-10, 50).Draw(t, "high"))/4
	case "voice":
		d.Voice, d.State = rapid.SampledFrom(rig.Voices).Draw(t, "voice").Name, pick("state", "in", "out", "spare", "limited")
		d.Keys = pick("keys", "", "40-76", "E2-E5", "76-40", "no")
	case "unison":
		width := rapid.Float64Range(-1, 2500).Draw(t, "width")
		d.Part, d.Voices, d.Width, d.Law = pick("part", parts...), rapid.IntRange(0, 6).Draw(t, "voices"), &width, pick("law", "", "even", "power 1.5", "odd")
	case "name":
		d.Name = pick("name", "Kiln", "", "no", "a: b", "\"", "1.20", "[x]", "ö", " x")
	}
	return d
}

func oneOf(t *rapid.T, what string, from ...int) int { return rapid.SampledFrom(from).Draw(t, what) }

// touched tells whether a deed may change an entry of the file, two keys deep.
func touched(d Deed, entry string) bool {
	top, name, _ := strings.Cut(entry, " ")
	switch d.Do {
	case "name":
		return entry == "rig"
	case "channel", "part":
		return top == "parts" // of others what they listen to
	case "part-name", "part-gone", "banks", "transpose", "mode":
		return top == "parts" && (name == d.Part || d.Do == "part-name")
	case "bank":
		return top == "banks"
	case "voice":
		bank, _ := voiceOf(d.Voice)
		return top == "banks" && name == bank
	case "unison":
		return top == "parts" && name == d.Part
	case "interface", "zero-key", "range", "interface-more":
		return top == "interfaces" && (name == d.Name || d.Do == "interface-more")
	}
	return true // a bank or an interface that goes: see mentioned
}

// Whatever is done to a rig: what is refused says why; what is done keeps all comments in order, what is
// said elsewhere, and the lines of that.
func TestDeedsKeepTheRest(t *testing.T) {
	names, texts, folders := rigFiles(t)
	did := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		file := rapid.SampledFrom(append(names, "wild", "wild")).Draw(t, "file")
		before := texts[file]
		if file == "wild" {
			before = wild.Rig(t, wild.Small)
		}
		rig, faults := profiles.Read("rig.yaml", []byte(before), folders[file])
		if len(faults) > 0 {
			require.Equal(t, "wild", file)
			t.Skip("no rig")
		}
		for range 6 {
			d := drawn(t, rig)
			data, after, err := Do("rig.yaml", []byte(before), []Deed{d}, folders[file])
			if err != nil {
				var refused *Refusal
				require.True(t, errors.As(err, &refused), "%+v: %v", d, err)
				require.NotEmpty(t, refused.Why)
				continue
			}
			did[d.Do]++
			require.Equal(t, comments(before), comments(string(data)), "%+v", d)
			was, is := entries(t, before), entries(t, string(data))
			for key, value := range was {
				if !touched(d, key) || (d.Do == "bank-gone" || d.Do == "bank-voices") && !strings.Contains(key+value, d.Bank) && !strings.HasPrefix(key, "pins ") || // a pin of a macro that goes
					d.Do == "interface-gone" && !strings.Contains(key+value, d.Name) && !strings.HasPrefix(key, "wiring") {
					require.Equal(t, value, is[key], "%+v: %s", d, key)
				}
			}
			for key := range is {
				_, there := was[key]
				require.True(t, there || touched(d, key), "%+v: %s is new", d, key)
			}
			require.Empty(t, newLines(before, string(data), d), "%+v", d)
			before, rig = string(data), after
		}
	})
	for _, do := range []string{"channel", "part", "part-name", "part-gone", "banks", "transpose", "mode", "bank", "bank-gone", "bank-voices",
		"interface", "zero-key", "range", "interface-more", "interface-gone", "name", "voice", "unison"} {
		require.NotZero(t, did[do], "%s was never done: %v", do, did)
	}
}

// newLines are lines that a deed has no reason to change, of those that are not there any more.
func newLines(before, after string, d Deed) (lost []string) {
	left := strings.Split(after, "\n")
	for _, line := range strings.Split(before, "\n") {
		if i := slices.Index(left, line); i >= 0 {
			left = slices.Delete(left, i, i+1)
			continue
		}
		var reasons []string
		switch d.Do {
		case "name":
			reasons = []string{"rig:"}
		case "bank-gone", "bank-voices":
			continue // its lines name its fields alone; TestDeeds shows them
		case "transpose", "mode", "banks":
			reasons = []string{d.Part, "transpose", "mode", "reattack", "banks", "parts"}
		case "part-name":
			reasons = []string{d.Part}
		default:
			continue
		}
		if !slices.ContainsFunc(reasons, func(r string) bool { return strings.Contains(line, r) }) {
			lost = append(lost, line)
		}
	}
	return lost
}

// What is done and undone gives the file back, byte by byte: where nothing is laid out anew on the way.
func TestDoneAndUndone(t *testing.T) {
	names, texts, folders := rigFiles(t)
	tried := 0
	rapid.Check(t, func(t *rapid.T) {
		file := rapid.SampledFrom(names).Draw(t, "file")
		before := texts[file]
		rig, faults := profiles.Read("rig.yaml", []byte(before), folders[file])
		require.Empty(t, faults)
		p := rapid.SampledFrom(rig.Parts).Draw(t, "part")
		if p.Pos.IsZero() {
			t.Skip("the file names no part")
		}
		there, back := []Deed{{Do: "part", Part: "another", Channel: 1, Also: true}}, []Deed{{Do: "part-gone", Part: "another"}}
		switch rapid.IntRange(0, 3).Draw(t, "what") {
		case 0:
			there, back = []Deed{{Do: "part-name", Part: p.Name, Name: "another"}}, []Deed{{Do: "part-name", Part: "another", Name: p.Name}}
		case 1:
			there, back = []Deed{{Do: "bank", Voices: 3}}, []Deed{{Do: "bank-gone", Bank: rig.FreeBank()}}
		case 2:
			there, back = []Deed{{Do: "name", Name: "Another"}}, []Deed{{Do: "name", Name: rig.Name}}
		}
		between, _, err := Do("rig.yaml", []byte(before), there, folders[file])
		require.NoError(t, err)
		require.NotEqual(t, before, string(between))
		after, _, err := Do("rig.yaml", between, back, folders[file])
		require.NoError(t, err)
		require.Equal(t, strings.ReplaceAll(before, `"`, ""), strings.ReplaceAll(string(after), `"`, "")) // a name may have stood in quotes
		tried++
	})
	require.NotZero(t, tried)
}
