package mutants

import (
	"bytes"
	"encoding/json"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// root is the top of the repository.
const root = "../../.."

// broken are the packages with all their mutants: by file the source in which
// each can be made alive, and by number less one the name of each.
type broken struct {
	sources map[string][]byte
	names   []string
}

// load breaks packages, given by their folders below root.
func load(t *testing.T, folders ...string) *broken {
	t.Helper()
	b := &broken{sources: map[string][]byte{}}
	exports := exportsOf(t, folders)
	for _, folder := range folders {
		fset := token.NewFileSet()
		var files []*ast.File
		var sources [][]byte
		paths, err := filepath.Glob(filepath.Join(root, folder, "*.go"))
		require.NoError(t, err)
		for _, path := range paths {
			if strings.HasSuffix(path, "_test.go") {
				continue
			}
			src, err := os.ReadFile(path)
			require.NoError(t, err)
			f, err := parser.ParseFile(fset, path, src, parser.SkipObjectResolution)
			require.NoError(t, err)
			files, sources = append(files, f), append(sources, src)
		}
		b.check(t, fset, files, sources, importer.ForCompiler(fset, "gc", func(path string) (io.ReadCloser, error) {
			return os.Open(exports[path])
		}))
		b.sources[filepath.Join(root, folder, "mutant.go")] = []byte("package " + files[0].Name.Name + helpers)
	}
	return b
}

// check breaks the files of one package.
func (b *broken) check(t *testing.T, fset *token.FileSet, files []*ast.File, sources [][]byte, imports types.Importer) {
	t.Helper()
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}
	pkg, err := (&types.Config{Importer: imports}).Check(files[0].Name.Name, fset, files, info)
	require.NoError(t, err)
	for i, f := range files {
		path := fset.Position(f.Pos()).Filename
		named, err := filepath.Rel(root, path)
		if err != nil {
			named = path
		}
		k := breaker{fset: fset, file: f, path: filepath.ToSlash(named), src: sources[i], info: info, pkg: pkg, names: &b.names, ranks: map[string]int{}}
		k.walk()
		b.sources[path] = k.broken()
	}
}

// exportsOf returns where the compiler keeps what the packages import.
func exportsOf(t *testing.T, folders []string) map[string]string {
	t.Helper()
	args := []string{"list", "-export", "-deps", "-json=ImportPath,Export"}
	for _, f := range folders {
		args = append(args, "./"+f)
	}
	cmd := exec.Command("go", args...)
	cmd.Dir, cmd.Stderr = root, os.Stderr
	out, err := cmd.Output()
	require.NoError(t, err)
	exports := map[string]string{}
	for d := json.NewDecoder(bytes.NewReader(out)); d.More(); {
		var p struct{ ImportPath, Export string }
		require.NoError(t, d.Decode(&p))
		exports[p.ImportPath] = p.Export
	}
	return exports
}
