package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
)

// Exit codes.
const (
	exitOK          = 0   // ok or tight
	exitNo          = 1   // no
	exitWrong       = 2   // the plan, the command line or a file is wrong
	exitUnsure      = 3   // unsure
	exitFault       = 70  // a fault in the program
	exitInterrupted = 130 // stopped by Ctrl-C, as shells count it
)

// app is one run of the program.
type app struct {
	stdin  io.Reader
	stdout *bufio.Writer // flushed, and its error looked at, when the run ends
	stderr io.Writer
	out    terminal // what stdout is
	err    terminal // what stderr is
	set    settings

	began bool // a command's own work began: the command line was right
	code  int  // what the run ends with if no error does
}

// run is the whole program: it reads args, writes to stdout and stderr and
// returns the exit code.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) (code int) {
	a := &app{
		stdin:  stdin,
		stdout: bufio.NewWriter(outWriter{stdout}),
		stderr: stderr,
		out:    newTerminal(stdout),
		err:    newTerminal(stderr),
	}
	defer func() {
		if p := recover(); p != nil {
			code = a.fault(p, debug.Stack())
		}
	}()
	root := a.root() //nolint:contextcheck // cobra hands the context to each command
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(a.stdout)
	root.SetErr(stderr)
	err := root.ExecuteContext(ctx)
	if ferr := a.stdout.Flush(); err == nil {
		err = ferr
	}
	return a.exit(err)
}

// outWriter is standard output. That it cannot be written, on a full disk say,
// is no fault of the program.
type outWriter struct{ w io.Writer }

func (o outWriter) Write(p []byte) (int, error) {
	n, err := o.w.Write(p)
	if err != nil {
		err = wrong(fmt.Errorf("the output could not be written: %w", cause(err)))
	}
	return n, err
}

// A wrongError says that the plan, the command line or a file is wrong, and
// not the program.
type wrongError struct{ error }

func (e wrongError) Unwrap() error { return e.error }

func wrong(err error) error { return wrongError{err} }

// exit says what went wrong and turns it into the exit code.
func (a *app) exit(err error) int {
	var w wrongError
	var p *problems
	var f *faultError
	switch {
	case err == nil:
		return a.code
	case errors.Is(err, context.Canceled):
		a.say("stopped")
		return exitInterrupted
	case errors.As(err, &p):
		p.write(a.stderr, a.err.colour)
		return exitWrong
	case errors.As(err, &f):
		return a.fault(f.value, f.stack)
	case errors.As(err, &w):
		a.say(w.Error())
		return exitWrong
	case !a.began:
		a.say(err.Error())
		a.hint("undercroft --help lists the commands, undercroft COMMAND --help explains one")
		return exitWrong
	}
	a.say("a fault in the program: " + err.Error())
	return exitFault
}

// A faultError is a panic of a worker, carried to where it can be told.
type faultError struct {
	value any
	stack []byte
}

func (f *faultError) Error() string { return fmt.Sprint(f.value) }

// guard runs do and returns a panic in it as an error.
func guard(do func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &faultError{p, debug.Stack()}
		}
	}()
	return do()
}

func (a *app) fault(value any, stack []byte) int {
	a.say(fmt.Sprintf("a fault in the program: %v", value))
	a.hint("nothing was decided; please report this with the plan and what follows")
	_, _ = a.stderr.Write(stack)
	return exitFault
}

// printf writes to stdout; its first error comes back when the run flushes it.
func (a *app) printf(format string, args ...any) { _, _ = fmt.Fprintf(a.stdout, format, args...) }

// say writes one message to stderr; nowhere is left to say that it is gone.
func (a *app) say(text string) { _, _ = fmt.Fprintln(a.stderr, "undercroft: "+printable(text)) }

// hint writes what to do about the message before it.
func (a *app) hint(text string) { _, _ = fmt.Fprintln(a.stderr, "  hint: "+text) }
