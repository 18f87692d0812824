package cli

import (
	"bytes"
	"context"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A PNG is as wide as asked for, and says what it is of in its chunk Description.
func TestWidthOfPNG(t *testing.T) {
	rig, song := filepath.Join(top, demoRig), filepath.Join(top, "testdata", "slow-kiln.mid")
	for want, flags := range map[int][]string{1365: nil, 600: {"--width", "600"}, 2000: {"--width", "2000"}} { // by itself 273 mm of five dots
		file := filepath.Join(t.TempDir(), "lanes.png")
		var out, complaints bytes.Buffer
		require.Equal(t, exitFine, Run(context.Background(), append([]string{"replay", rig, song, "-o", file}, flags...), strings.NewReader(""), &out, &complaints), complaints.String())
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		img, err := png.DecodeConfig(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, want, img.Width)
		require.Contains(t, string(data), "Kiln Yard, plan ")
	}
}

// What is no width is refused, with what is.
func TestWidthIsRefused(t *testing.T) {
	rig, song := filepath.Join(top, demoRig), filepath.Join(top, "testdata", "slow-kiln.mid")
	for want, flags := range map[string][]string{
		"--width 199: want 200 to 10000 pixels\n":                                            {"--width", "199", "-o", "lanes.png"},
		"--width 10001: want 200 to 10000 pixels\n":                                          {"--width", "10001", "-o", "lanes.png"},
		"--width 800 is for a picture in pixels\n    add -o with a file that ends in .png\n": {"--width", "800", "-o", "lanes.svg"},
		"--width 0: want 200 to 10000 pixels\n":                                              {"--width", "0", "-o", "lanes.png"},
	} {
		var out, complaints bytes.Buffer
		require.Equal(t, exitUsage, Run(context.Background(), append([]string{"replay", rig, song}, flags...), strings.NewReader(""), &out, &complaints))
		require.Contains(t, complaints.String(), want)
	}
}
