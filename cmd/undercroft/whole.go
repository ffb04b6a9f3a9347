package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// output is one file to write.
type output struct {
	path string
	data []byte
	what string // for people
}

// goodName checks the name of a file to write: it is given, and does not end as files of
// another kind do. What says of which kind it is, exts how such files end.
func goodName(file, what string, exts ...string) error {
	ext := strings.ToLower(filepath.Ext(file))
	switch {
	case file == "":
		return wrong(errors.New("which file? say -o FILE" + exts[0]))
	case ext != "" && !slices.Contains(exts, ext):
		return wrong(fmt.Errorf("%s: %s: name it %s", file, what, exts[0]))
	}
	return nil
}

// writeWhole writes files so that each appears whole or not at all, and none
// appears if one cannot be written: all go to files beside their places first,
// and take their places only once all are on the disk. What it cannot rule out
// is a failure between two of the last renames.
//
// A device or pipe that is there already is written to as it is.
func writeWhole(ctx context.Context, files ...output) (err error) {
	var waiting []replacement
	defer func() {
		for _, r := range waiting {
			err = errors.Join(err, r.drop())
		}
	}()
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		r, err := prepare(f)
		if err != nil {
			return wrong(fmt.Errorf("%s could not be written: %w", f.path, cause(err)))
		}
		if r != nil {
			waiting = append(waiting, *r)
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for len(waiting) > 0 {
		r := waiting[0]
		if err := os.Rename(r.from, r.to); err != nil {
			return wrong(fmt.Errorf("%s could not be written: %w", r.to, cause(err)))
		}
		waiting = waiting[1:]
	}
	return nil
}

// writeFolder writes files into the folder dir as writeWhole does. A folder that
// is not there is made, and goes again if they cannot be written.
func writeFolder(ctx context.Context, dir string, files []output) error {
	made := newest(dir)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return wrong(fmt.Errorf("folder %s could not be made: %w", dir, cause(err)))
	}
	err := writeWhole(ctx, files...)
	if err != nil && made != "" {
		err = errors.Join(err, removeEmpty(dir, made))
	}
	return err
}

// newest returns the outermost folder of path that is not there yet; "" where
// all are.
func newest(path string) string {
	made := ""
	for p := filepath.Clean(path); ; p = filepath.Dir(p) {
		if _, err := os.Stat(p); !errors.Is(err, fs.ErrNotExist) {
			return made
		}
		made = p
	}
}

// removeEmpty removes the folders from dir up to made that are empty.
func removeEmpty(dir, made string) error {
	for p := filepath.Clean(dir); ; p = filepath.Dir(p) {
		entries, err := os.ReadDir(p)
		if err != nil || len(entries) > 0 {
			return err
		}
		if err := os.Remove(p); err != nil || p == made {
			return err
		}
	}
}

// written lists what a command wrote.
func (a *app) written(files ...output) {
	if a.set.Quiet {
		return
	}
	for _, f := range files {
		a.printf("%s  %s\n", printable(f.path), printable(f.what))
	}
}

// A replacement is a written file that waits to take its place.
type replacement struct{ from, to string }

// drop removes a file that did not come to its place.
func (r replacement) drop() error {
	if err := os.Remove(r.from); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return wrong(fmt.Errorf("a half-made file is left: %w", err))
	}
	return nil
}

// prepare writes f beside its place, or to its place where that is no file to
// replace; then there is nothing left to do.
func prepare(f output) (*replacement, error) {
	place := f.path
	if target, err := filepath.EvalSymlinks(place); err == nil {
		place = target // replace the file, not the link to it
	}
	mode := fs.FileMode(0o666) // less the umask
	info, err := os.Stat(place)
	there := err == nil
	switch {
	case there && info.IsDir():
		return nil, errors.New("it is a folder")
	case there && !info.Mode().IsRegular():
		return nil, fill(place, f.data, os.O_WRONLY, 0)
	case there:
		mode = info.Mode().Perm()
	}
	for n := 0; ; n++ {
		r := replacement{filepath.Join(filepath.Dir(place), "."+filepath.Base(place)+"."+strconv.Itoa(os.Getpid())+"-"+strconv.Itoa(n)), place}
		err := fill(r.from, f.data, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err == nil && there {
			err = os.Chmod(r.from, mode) // the umask does not bind a file that was there
		}
		if err != nil {
			return nil, errors.Join(err, r.drop())
		}
		return &r, nil
	}
}

// fill writes data to the file at path, through to the disk.
func fill(path string, data []byte, flag int, mode fs.FileMode) (err error) {
	f, err := os.OpenFile(path, flag, mode)
	if err != nil {
		return err
	}
	defer func() {
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}()
	if _, err := f.Write(data); err != nil {
		return err
	}
	if flag&os.O_CREATE == 0 {
		return nil // a device or pipe has no disk behind it
	}
	return f.Sync()
}

// cause strips the path of a half-made file, which means nothing to the user.
func cause(err error) error {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		return p.Err
	}
	if l, ok := errors.AsType[*os.LinkError](err); ok {
		return l.Err
	}
	return err
}
