package page

import (
	"encoding/json"
	"html"
	"testing"

	"github.com/stretchr/testify/require"
)

// The page's own pictures say song, rig, rules, plan code, and the command that draws them again.
func TestPicturesOfThePageSayWhatTheyAre(t *testing.T) {
	b := newBench(t)
	b.demo()
	status, song := b.post("file", `{"kind": "song.svg", "song": "1", "flags": ["--voices", "10"]}`)
	require.Equal(t, 200, status)
	status, answer := b.post("size", `{"song": "1", "flags": ["--voices", "10"]}`)
	require.Equal(t, 200, status)
	var sized struct{ Figures map[string]string }
	require.NoError(t, json.Unmarshal([]byte(answer), &sized))
	for picture, command := range map[string]string{song: "replay", sized.Figures["curve"]: "size"} {
		picture = html.UnescapeString(picture)
		for _, says := range []string{"Slow Kiln", "Kiln Yard", "pick longest-idle, steal protect-outer", "choirloft " + command + " " + b.path + " slow-kiln.mid --voices 10", "plan 5VQEAVNK"} {
			require.Regexp(t, `<desc>[^<]*`+says, picture)
			require.Regexp(t, `<text [^>]*>[^<]*`+says, picture)
		}
	}
	status, sheet := b.post("file", `{"kind": "sheet.svg", "flags": ["--voices", "10"]}`)
	require.Equal(t, 200, status)
	require.Contains(t, sheet, "choirloft map "+b.path+" --voices 10, plan 5VQEAVNK")
}
