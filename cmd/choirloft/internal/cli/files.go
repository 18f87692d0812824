package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// written is a file and what is to stand in it: data, or what fill writes.
type written struct {
	file string
	data []byte
	fill func(io.Writer) error
}

// replace puts data in the place of a file: all of it, or the file stays as it
// was. A link is followed.
func replace(file string, data []byte) error { return replaceAll([]written{{file: file, data: data}}) }

// replaceAll puts data in the place of several files. Everything is on the disk
// beside them before the first of them changes, so that whatever fails until
// then leaves all of them as they were.
func replaceAll(files []written) (err error) {
	temps := make([]string, 0, len(files))
	defer func() {
		for _, temp := range temps {
			os.Remove(temp)
		}
	}()
	targets := make([]string, len(files))
	for i, f := range files {
		targets[i] = f.file
		if real, err := filepath.EvalSymlinks(f.file); err == nil {
			targets[i] = real
		}
		if info, err := os.Stat(targets[i]); err == nil && info.IsDir() {
			return fmt.Errorf("%s: is a folder", f.file)
		}
		temp, err := f.stage(targets[i])
		if temp != "" {
			temps = append(temps, temp)
		}
		if err != nil {
			return fmt.Errorf("%s: %s", f.file, reason(err))
		}
	}
	for i, f := range files {
		if err := os.Rename(temps[0], targets[i]); err != nil {
			return fmt.Errorf("%s: %s; %d of %d files were written", f.file, reason(err), i, len(files))
		}
		temps = temps[1:]
	}
	return nil
}

// stage writes a new file beside the target, with the mode that the target has,
// and returns its name, if there is such a file.
func (f *written) stage(target string) (name string, err error) {
	temp, err := besides(target)
	if err != nil {
		return "", err
	}
	if info, err := os.Stat(target); err == nil {
		if err := temp.Chmod(info.Mode().Perm()); err != nil {
			return temp.Name(), errors.Join(err, temp.Close())
		}
	}
	if f.fill != nil {
		err = f.fill(temp)
	} else {
		_, err = temp.Write(f.data)
	}
	return temp.Name(), errors.Join(err, temp.Sync(), temp.Close())
}

// besides creates a file of a new name in the folder of another. It has the
// mode that any new file has.
func besides(target string) (*os.File, error) {
	folder, name := filepath.Split(target)
	for n := 0; ; n++ {
		path := filepath.Join(folder, fmt.Sprintf(".%s.%d.tmp", name, n))
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return f, err
		}
	}
}
