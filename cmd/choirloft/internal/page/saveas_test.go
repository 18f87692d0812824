package page

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

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
	p.do(chromedp.SetUploadFiles("#add-songs", []string{song}), chromedp.WaitVisible("#news-close"))
	require.Contains(t, text("#news-text"), "A rig is proposed")
	require.Contains(t, text("#proposed"), "slow-kiln.mid: 4 channels with notes")
	require.Equal(t, "For slow-kiln", text("#rig-name"))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "mine.yaml"), []byte("mine"), 0o666))
	p.do(chromedp.Click("#save"), chromedp.WaitVisible("#save-as"))
	require.Equal(t, "for-slow-kiln.yaml", value("save-as-name"))
	p.do(chromedp.SetValue("#save-as-name", "mine.yaml"), chromedp.Click("#save-as-form [type=submit]"))
	p.until(`document.getElementById("save-as-trouble").textContent !== ""`)
	require.Contains(t, text("#save-as-trouble"), "mine.yaml is there already")
	p.do(chromedp.SetValue("#save-as-name", "kiln.yaml"), chromedp.Click("#save-as-form [type=submit]"), chromedp.WaitNotVisible("#save-as"))
	require.Equal(t, "as on disk", text("#save-state"))
	require.Equal(t, "Save rig", text("#save"))
	require.Equal(t, []string{"kiln.yaml", "mine.yaml"}, namesIn(t, folder))
	written, err := os.ReadFile(filepath.Join(folder, "kiln.yaml"))
	require.NoError(t, err)
	require.Contains(t, string(written), "rig: For slow-kiln\n")
	p.quiet()
}

// A rig that lies where the program was started is one click away.
func TestOpenARigInTheBrowser(t *testing.T) {
	b, folder := newUntitled(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "my wall.yaml"), []byte("rig: Mine\nbanks: {K: {voices: 4}}\n"), 0o666))
	p := openAt(t, b, "")
	require.Equal(t, []string{"Open my wall.yaml"}, p.texts("#open-rigs button"))
	p.do(chromedp.Click("#open-rigs button"))
	p.until(`document.getElementById("rig-name").textContent === "Mine" && document.getElementById("open-rigs").hidden`)
	require.Equal(t, "as on disk", p.texts("#save-state")[0])
	p.quiet()
}
