package paper

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The bar as poppler paints it at 10 dots to the mm: on a page that lies and one that
// stands a row has a run of 1000 dark dots, to 2 for its ends' own width.
func TestBarIsPainted(t *testing.T) {
	folder := t.TempDir()
	tool(t, pdfOf(t, demoSheet(t), Options{}), "pdftoppm", "-l", "2", "-r", "254", "-gray", "FILE", filepath.Join(folder, "page"))
	files, err := filepath.Glob(filepath.Join(folder, "page*.pgm"))
	require.NoError(t, err)
	require.Len(t, files, 2)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		var wide, high, white int
		_, err = fmt.Sscanf(string(data[:32]), "P5\n%d %d\n%d\n", &wide, &high, &white)
		require.NoError(t, err)
		found := false
		for row := range slices.Chunk(data[len(data)-wide*high:], wide) {
			run := 0
			for _, grey := range append(row[:wide:wide], 255) {
				if grey < 0x80 {
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
