package page

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// chord is a song of three keys at once on channel 2, C4, E4 and G4, a beat long; then one note on channel 1.
const chord = "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60" + // format 0, one track, 96 ticks a quarter note
	"MTrk\x00\x00\x00\x24" +
	"\x00\x91\x3c\x40\x00\x91\x40\x40\x00\x91\x43\x40" + // note on, channel 2
	"\x60\x81\x3c\x40\x00\x81\x40\x40\x00\x81\x43\x40" + // note off a beat later
	"\x00\x90\x3c\x40\x60\x80\x3c\x40" + // channel 1
	"\x00\xff\x2f\x00" // end of track

// From nothing, by mouse: a song is dropped, a rig is there, and Save asks for its name until that is free.
func TestSaveAsInTheBrowser(t *testing.T) {
	b, folder := newUntitled(t)
	p := openAt(t, b, "")
	text := func(selector string) string { return p.texts(selector)[0] }
	value := func(id string) string { return value[string](p, "document.getElementById('"+id+"').value") }
	require.Equal(t, "new, not saved", text("#save-state"))
	require.Equal(t, "Save as…", text("#save"))
	song, err := filepath.Abs(top + "testdata/slow-kiln.mid")
	require.NoError(t, err)
	p.do(chromedp.SetUploadFiles("#add-songs", []string{song}), visible("#news-close"))
	require.Contains(t, text("#news-text"), "A rig is proposed")
	require.Contains(t, text("#proposed"), "slow-kiln.mid: 4 channels with notes")
	require.Equal(t, "Wall for slow-kiln", text("#rig-name"))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "mine.yaml"), []byte("mine"), 0o666))
	p.do(click("#save"), visible("#save-as"))
	require.Equal(t, "wall-for-slow-kiln.yaml", value("save-as-name"))
	p.do(chromedp.SetValue("#save-as-name", "mine.yaml"), click("#save-as-form [type=submit]"))
	p.until(`document.getElementById("save-as-trouble").textContent !== ""`)
	require.Contains(t, text("#save-as-trouble"), "mine.yaml exists already")
	p.do(chromedp.SetValue("#save-as-name", "kiln.yaml"), click("#save-as-form [type=submit]"), hidden("#save-as"))
	require.Equal(t, "as on disk", text("#save-state"))
	require.Equal(t, "Save rig", text("#save"))
	require.Equal(t, []string{"kiln.yaml", "mine.yaml"}, namesIn(t, folder))
	written, err := os.ReadFile(filepath.Join(folder, "kiln.yaml"))
	require.NoError(t, err)
	require.Contains(t, string(written), "rig: Wall for slow-kiln\n")

	// Another song has chords where the first had none: its part says so, and whose doing that is, and can play them.
	other := filepath.Join(t.TempDir(), "other.mid")
	require.NoError(t, os.WriteFile(other, []byte(chord), 0o666))
	p.do(chromedp.SetUploadFiles("#add-songs", []string{other}))
	p.until(`document.getElementById("answer-played").textContent.includes("other")`)
	require.NotContains(t, text("#news-text"), "proposed", "what was proposed was not for this one")
	p.do(click("#tab-parts"))
	p.reads(`[data-drop="part bass"]`, "bass plays one note at a time, as proposed for slow-kiln.mid. This song sounds up to 3 at once.")
	mouse{p}.press(`[data-at="part bass fix 0"]`)
	p.until(`!document.querySelector('[data-drop="part bass"]').textContent.includes("one note")`)
	require.NotRegexp(t, `(?m)^ *bass: .*mono`, p.rigText())
	p.quiet()
}

// A rig that lies where the program was started is one click away.
func TestOpenARigInTheBrowser(t *testing.T) {
	b, folder := newUntitled(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "my wall.yaml"), []byte("rig: Mine\nbanks: {K: {voices: 4}}\n"), 0o666))
	p := openAt(t, b, "")
	require.Equal(t, []string{"Open my wall.yaml"}, p.texts("#open-rigs button"))
	p.do(click("#open-rigs button"))
	p.until(`document.getElementById("rig-name").textContent === "Mine" && document.getElementById("open-rigs").hidden`)
	require.Equal(t, "as on disk", p.texts("#save-state")[0])
	p.quiet()
}
