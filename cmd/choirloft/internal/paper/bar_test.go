package paper

import (
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The bar as poppler paints it at 10 dots to the mm: on a page that lies and one that
// stands a row has a run of 1000 dark dots, to 2 for its ends' own width.
func TestBarIsPainted(t *testing.T) {
	folder := t.TempDir()
	tool(t, pdfOf(t, demoSheet(t), Options{}), "pdftoppm", "-l", "2", "-r", "254", "-gray", "-png", "FILE", filepath.Join(folder, "page"))
	files, err := filepath.Glob(filepath.Join(folder, "page*.png"))
	require.NoError(t, err)
	require.Len(t, files, 2)
	for _, name := range files {
		f, err := os.Open(name)
		require.NoError(t, err)
		img, err := png.Decode(f)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		found := false
		for y := range img.Bounds().Dy() {
			run := 0
			for x := range img.Bounds().Dx() + 1 {
				if grey, _, _, _ := img.At(x, y).RGBA(); x < img.Bounds().Dx() && grey < 0x8000 {
					run++
					continue
				}
				found = found || run >= 999 && run <= 1005
				run = 0
			}
		}
		require.True(t, found, name)
	}
}
