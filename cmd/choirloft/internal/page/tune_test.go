package page

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/take/fake"
)

// smallWall is a rig of three voices, without a measurement.
const smallWall = `rig: Wall   # ours
interfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}
banks: {K: {voices: 3, kind: kiln}}   # one bank
voices: {kiln: {profile: saw-lowpass, release: 2.4 s}} # kinds
`

// shortTake is the short take of the rig on the desk, and its sound by voices that are so many cents sharp.
func (b *bench) shortTake(sharp map[midi.Channel]float64) (mid, wav string) {
	b.t.Helper()
	status, mid := b.post("take", `{"short": true, "file": true}`)
	require.Equal(b.t, 200, status, mid)
	song, err := midi.Read([]byte(mid), midi.Options{})
	require.NoError(b.t, err)
	return mid, string(fake.Wav(16000, song, sharp))
}

// listened sends a take and its recording, and returns the id of the take.
func (b *bench) listened(mid, wav string) string {
	b.t.Helper()
	status, answer := b.post("played?name=take.mid", mid)
	require.Equal(b.t, 200, status, answer)
	var take playedView
	require.NoError(b.t, json.Unmarshal([]byte(answer), &take))
	require.Contains(b.t, take.Says, "Take of Wall: 3 voices in ")
	status, answer = b.post("recording?take="+take.ID+"&name=take.wav", wav)
	require.Equal(b.t, 200, status, answer)
	return take.ID
}

func (b *bench) onDesk() string {
	b.desk.mu.RLock()
	defer b.desk.mu.RUnlock()
	return string(b.desk.text)
}

// What a table of readings says is what the command tune says, and its corrections go into the text on the desk
// where that is asked for, and not into the file. K1 is 10 cents sharp on each key, whose hertz are 440·2^((key−69)/12).
func TestReadings(t *testing.T) {
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte(smallWall)))
	table := "# through: nothing\nvoice,key,hertz\nK1,48,131.5700\nK1,60,263.1401\nK1,72,526.2802\n" // 130.8128·2^(10/1200), and its octaves
	ask := func(more string) (int, string) {
		body, err := json.Marshal(table)
		require.NoError(t, err)
		return b.post("readings", `{"name": "wall.csv", "text": `+string(body)+more+`}`)
	}
	status, answer := ask(``)
	require.Equal(t, 200, status, answer)
	var got struct {
		Writes  bool
		Command string
		Tune    struct {
			Readings int
			Voices   []struct {
				Name     string
				Readings []struct {
					SharpCents float64 `json:"sharp_cents"`
				}
			}
			Corrections []string
		}
		Desk *deskView
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &got))
	require.Equal(t, 3, got.Tune.Readings)
	for _, r := range got.Tune.Voices[0].Readings {
		require.InDelta(t, 10, r.SharpCents, 0.01)
	}
	require.True(t, got.Writes)
	require.Nil(t, got.Desk)
	require.Equal(t, "choirloft tune "+b.path+" wall.csv", got.Command)
	require.Equal(t, smallWall, b.onDesk(), "nothing changes unasked")
	file, err := os.ReadFile(b.path)
	require.NoError(t, err)

	status, answer = ask(`, "write": true`)
	require.Equal(t, 200, status, answer)
	require.NoError(t, json.Unmarshal([]byte(answer), &got))
	require.NotNil(t, got.Desk)
	require.Equal(t, b.onDesk(), got.Desk.Text)
	rest, _, found := strings.Cut(b.onDesk(), "\ncorrections:")
	require.True(t, found)
	require.Equal(t, smallWall, rest)
	rig, faults := profiles.Read("wall.yaml", []byte(b.onDesk()), nil)
	require.Empty(t, faults)
	require.Len(t, rig.Corrections, 1)
	require.InDelta(t, -10.0/1200, float64(rig.Corrections[0].Offset), 1e-4, "10 cents at a volt an octave")
	now, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.Equal(t, string(file), string(now))

	before := b.onDesk()
	for _, c := range []struct{ body, want string }{
		{`{"name": "x.csv", "text": "voice,key,hertz\nZ9,60,261\nZ8,60,261\n"}`, "Z9"},
		{`{"name": "x.csv", "text": ""}`, "x.csv"},
		{`{"name": "x.txt", "text": "K1"}`, `the ending ".txt" names no readings`},
		{`{"name": "x.csv", "text": "voice,key,hertz\nK1,60,261.6\n", "turned": "Z"}`, "--turned Z: the rig has no such voice, want K1 to K3, or none alone"},
		{`{"name": "x.csv", "text": "voice,key,hertz\nK1,60,261.6\n", "through": "air"}`, `found "air", want nothing or corrections`},
		{`{"name": "x.csv", "text": "voice,key,hertz\nK1,60,261.6\n", "date": "today", "write": true}`, `found "today", want one as in 2026-11-25`},
	} {
		status, answer := b.post("readings", c.body)
		require.Equal(t, 422, status, answer)
		b.oneSentence(answer, c.want)
	}
	require.NoError(t, b.desk.Edit([]byte("rig: X\nbanks: {K: {voices: none}}\n")))
	status, answer = ask(`, "write": true`)
	require.Equal(t, 422, status)
	b.oneSentence(answer, "the text has 1 faults")
	require.NoError(t, b.desk.Edit([]byte(before)))
}

// oneSentence holds an error to one line that says what is wanted.
func (b *bench) oneSentence(answer, want string) {
	b.t.Helper()
	var said struct{ Error string }
	require.NoError(b.t, json.Unmarshal([]byte(answer), &said), answer)
	require.Contains(b.t, said.Error, want)
	require.NotContains(b.t, said.Error, "\n")
	require.Less(b.t, len(said.Error), 400)
}

// A take over HTTP, from making it to the values in the text, as TestTuneTake does it by the command: a release of
// 0.3 s, and voices as sharp as they were drawn.
func TestTook(t *testing.T) {
	b := newBench(t)
	b.demo()
	require.NoError(t, b.desk.Edit([]byte(smallWall)))
	mid, wav := b.shortTake(map[midi.Channel]float64{0: 1.5, 1: -2, 2: 0.5})
	id := b.listened(mid, wav)
	status, answer := b.post("took", `{"id": "`+id+`", "song": "1", "date": "2026-11-30"}`)
	require.Equal(t, 200, status, answer)
	var got struct {
		Writes  bool
		Command string
		Took    struct {
			Voices []struct {
				State    string
				ReleaseS float64 `json:"release_s"`
				Readings []struct{ Cents float64 }
			}
			Needs *struct{ Before, After struct{ Tails int } }
		}
		Figures map[string]string
	}
	require.NoError(t, json.Unmarshal([]byte(answer), &got))
	require.True(t, got.Writes)
	require.Equal(t, "choirloft tune "+b.path+" slow-kiln.mid --take take.mid --wav take.wav --date 2026-11-30", got.Command)
	for i, cents := range []float64{1.5, -2, 0.5} {
		v := &got.Took.Voices[i]
		require.Equal(t, "ok", v.State)
		require.InDelta(t, 0.3, v.ReleaseS, 0.015)
		for _, r := range v.Readings {
			require.InDelta(t, cents, r.Cents, 0.15)
		}
	}
	require.Less(t, got.Took.Needs.After.Tails, got.Took.Needs.Before.Tails, "0.3 s of tail instead of 2.4 s")
	require.Contains(t, got.Figures["take"], "<svg")
	require.Equal(t, smallWall, b.onDesk())

	status, answer = b.post("took", `{"id": "`+id+`", "date": "2026-11-30", "write": true}`)
	require.Equal(t, 200, status, answer)
	rig, faults := profiles.Read("wall.yaml", []byte(b.onDesk()), nil)
	require.Empty(t, faults, b.onDesk())
	require.Len(t, rig.Corrections, 3)
	for i := range rig.Voices {
		require.InDelta(t, 0.3, rig.Voices[i].Answer.Release.Seconds(), 0.015)
		require.Equal(t, "2026-11-30", rig.Voices[i].Answer.Date)
	}
	require.Contains(t, b.onDesk(), "# one bank")
	status, answer = b.post("took", `{"id": "`+id+`", "date": "2026-11-30"}`)
	require.Equal(t, 200, status)
	require.Contains(t, strings.Join(strings.Fields(answer), ""), `"writes":false`, "it says all of it now")
	status, answer = b.post("took", `{"id": "`+id+`", "date": "2026-12-01"}`)
	require.Equal(t, 422, status)
	b.oneSentence(answer, "this is the same recording")

	require.NoError(t, b.desk.Edit([]byte(strings.Replace(smallWall, "zero_key: 36", "zero_key: 24", 1))))
	status, answer = b.post("took", `{"id": "`+id+`"}`)
	require.Equal(t, 422, status)
	b.oneSentence(answer, "this take was made for another rig, or for other cables")
}

// What is no take, or no recording of it, gets one sentence, and changes nothing. No file of a recording is left.
func TestBadTakes(t *testing.T) {
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte(smallWall)))
	scratch := t.TempDir()
	b.desk.tools.Scratch = func() (*os.File, error) { return os.CreateTemp(scratch, "x") }
	mid, wav := b.shortTake(map[midi.Channel]float64{0: 0, 1: 0, 2: 0})
	demo, err := os.ReadFile(top + "testdata/slow-kiln.mid")
	require.NoError(t, err)
	for body, want := range map[string]string{string(demo): "take.mid: this file is no take", "RIFF": "", wav[:100]: ""} {
		status, answer := b.post("played?name=take.mid", body)
		require.Equal(t, 422, status, answer)
		b.oneSentence(answer, want)
	}
	status, answer := b.post("played?name=take.mid", mid)
	require.Equal(t, 200, status, answer)
	status, answer = b.post("took", `{"id": "1"}`)
	require.Equal(t, 422, status)
	b.oneSentence(answer, "the recording of take.mid is missing")
	silent := wav[:44] + strings.Repeat("\x00", len(wav)-44)
	for name, c := range map[string]struct{ body, want string }{
		"empty":      {"", "x.wav: "},
		"no WAV":     {mid, "x.wav: "},
		"head alone": {wav[:44], "no sound"},
		"silence":    {silent, "nothing sounds in the recording"},
		"cut":        {wav[:len(wav)/3], "x.wav: "},
		// 4 GB of frames of 0 bytes each, 0 frames a second, 65535 channels: of each field the worst
		"no block":                          {wav[:32] + "\x00\x00" + wav[34:], "x.wav: "},
		"no rate":                           {wav[:24] + "\x00\x00\x00\x00" + wav[28:], "x.wav: "},
		"channels":                          {wav[:22] + "\xff\xff" + wav[24:], "x.wav: "},
		"float 16":                          {wav[:20] + "\x03\x00" + wav[22:], "x.wav: "},
		"a chunk that ends beyond the file": {"RIFF\xff\xff\xff\xffWAVEjunk\xff\xff\xff\x7f", "x.wav: "},
	} {
		status, answer := b.post("recording?take=1&name=x.wav", c.body)
		require.Equal(t, 422, status, "%s: %s", name, answer)
		b.oneSentence(answer, c.want)
	}
	status, answer = b.post("recording?take=9&name=x.wav", wav)
	require.Equal(t, 404, status, answer)
	b.desk.tools.Scratch = func() (*os.File, error) { return nil, os.ErrPermission }
	status, answer = b.post("recording?take=1&name=x.wav", wav)
	require.Equal(t, 422, status)
	b.oneSentence(answer, "no room for the recording")
	require.Equal(t, smallWall, b.onDesk())
	left, err := os.ReadDir(scratch)
	require.NoError(t, err)
	require.Empty(t, left)
}

// A text that was typed while a recording was being worked out is never written over.
func TestWriteMeasuredOverATextThatChanged(t *testing.T) {
	b := newBench(t)
	require.NoError(t, b.desk.Edit([]byte(smallWall)))
	was, err := b.desk.file()
	require.NoError(t, err)
	require.NoError(t, b.desk.Edit([]byte(smallWall+"# more\n")))
	require.ErrorIs(t, b.desk.replace(was, was, origin{}), errOvertaken)
	require.Equal(t, smallWall+"# more\n", b.onDesk())
	status, _ := b.post("take", `{}`)
	require.Equal(t, http.StatusOK, status)
}

// dropped lets files fall onto an element, as from a folder.
func (p *browser) dropped(onto string, files map[string]string) {
	p.t.Helper()
	var made []string
	for name, data := range files {
		made = append(made, fmt.Sprintf(`new File([Uint8Array.from(atob(%q), (c) => c.charCodeAt(0))], %q)`, base64.StdEncoding.EncodeToString([]byte(data)), name))
	}
	p.run(fmt.Sprintf(`const e = document.querySelector(%q), box = e.getBoundingClientRect(), d = new DataTransfer();
		for (const f of [%s]) d.items.add(f);
		e.scrollIntoView();
		const at = e.getBoundingClientRect();
		e.dispatchEvent(new DragEvent("drop", { bubbles: true, cancelable: true, dataTransfer: d, clientX: at.x + 5, clientY: at.y + 5 }))`, onto, strings.Join(made, ", ")))
}

// axed holds what is shown to axe-core where CHOIRLOFT_AXE names its script.
func (p *browser) axed(where string) {
	p.t.Helper()
	if axe := os.Getenv("CHOIRLOFT_AXE"); axe != "" {
		script, err := os.ReadFile(axe)
		require.NoError(p.t, err)
		p.run(string(script))
		p.accessible(where)
	}
}

// A table is dropped anywhere, a take and its recording on the Rack view: the page says what the API says, puts it into
// the text, takes it out again, and says in a sentence what is of no use.
func TestMeasureInTheBrowser(t *testing.T) {
	b := newBench(t)
	b.demo()
	require.NoError(t, b.desk.Edit([]byte(smallWall)))
	mid, wav := b.shortTake(map[midi.Channel]float64{0: 1.5, 1: -2, 2: 0.5})
	p := openAt(t, b, "/?song=1#song")
	p.until(playing + ` !== ""`)
	p.dropped("#answer", map[string]string{"wall.csv": "# through: nothing\nvoice,key,hertz\nK1,48,131.5700\nK1,60,263.1401\nK1,72,526.2802\n"})
	p.until(`document.querySelector("#measured .answer")?.textContent.startsWith("Wall: 3 readings of 1 voice")`)
	require.Equal(t, "#rack", value[string](p, "location.hash"))
	p.do(click("#measure-write"))
	p.until(`document.getElementById("text").value.includes("corrections:")`)
	p.until(`document.getElementById("measure-status").textContent.includes("It is in the rig text now")`)
	p.do(click("#undo"))
	p.until(fmt.Sprintf(`document.getElementById("text").value === %q`, smallWall))
	p.until(`document.getElementById("measure-write").getAttribute("aria-disabled") === null`)

	p.dropped("#measure-drop", map[string]string{"take.wav": wav})
	p.until(`document.getElementById("measure-status").textContent === "Now add the take that was played, a MIDI file."`)
	p.dropped("#measure-drop", map[string]string{"take.mid": mid})
	p.until(`document.querySelector("#measured .answer")?.textContent === "Wall: all 3 voices answer in their place."`)
	_, answer := b.post("took", `{"id": "1", "song": "1"}`)
	var says answered
	require.NoError(t, json.Unmarshal([]byte(answer), &says))
	require.Equal(t, says.words("heading"), p.texts("#measured h3"))
	require.Contains(t, says.words("heading"), "Voices needed")
	require.True(t, value[bool](p, `document.querySelector("#measured img") !== null`))
	require.Equal(t, smallWall, b.onDesk())
	p.run(`const d = document.getElementById("measure-date"); d.value = "2026-11-30"; d.dispatchEvent(new Event("change"))`)
	p.until(`document.getElementById("measure-command").textContent.includes("--date 2026-11-30")`)
	p.do(click("#measure-write"))
	p.until(`document.getElementById("text").value.includes("date: 2026-11-30")`)
	p.until(`document.getElementById("measure-status").textContent.includes("It is in the rig text now")`)
	file, err := os.ReadFile(b.path)
	require.NoError(t, err)
	require.NotContains(t, string(file), "2026-11-30", "until it is saved")

	text := b.onDesk()
	demo, err := os.ReadFile(filepath.Join(top, "testdata/slow-kiln.mid"))
	require.NoError(t, err)
	for want, files := range map[string]map[string]string{
		"this file is no take":            {"song.mid": string(demo), "take.wav": wav},
		"nothing sounds in the recording": {"take.mid": mid, "take.wav": wav[:44] + strings.Repeat("\x00", len(wav)-44)},
		"Z9":                              {"other.csv": "voice,key,hertz\nZ9,60,261.6\n"},
	} {
		p.dropped("#measure-drop", files)
		p.until(fmt.Sprintf(`document.getElementById("measure-trouble").textContent.includes(%q)`, want))
	}
	require.Equal(t, text, b.onDesk())

	p.do(click("#take-make > summary"))
	p.until(`document.querySelector("#take-says h3")?.textContent === "Cautions"`)
	require.Contains(t, value[string](p, `document.getElementById("take-says").textContent`), "Take of Wall: 3 voices in ")
	p.axed("measurements")
	p.touched(390, 844)
	p.thumbs("#measure")
	p.quiet()
}
