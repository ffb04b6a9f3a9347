package main

import (
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"

	"undercroft/scene/plan"
)

func (a *app) schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "Print the JSON schema of plan files, for editors",
		Long: `Schema prints the JSON schema (draft 7) of plan files. An editor that knows it
completes keys and marks mistakes while you type. Many take it from the first
line of a plan:

  # yaml-language-server: $schema=plan-schema.json`,
		Example: "  undercroft schema > plan-schema.json",
		Args:    cobra.NoArgs,
		RunE: a.runs(func(*cobra.Command, []string) error {
			_, err := a.stdout.Write(plan.Schema())
			return err
		}),
	}
}

// version is set when a release is built.
var version = "unreleased"

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "version",
		Short:   "Print which version this is",
		Example: "  undercroft version",
		Args:    cobra.NoArgs,
		RunE: a.runs(func(*cobra.Command, []string) error {
			v := version
			if info, ok := debug.ReadBuildInfo(); ok && v == "unreleased" && info.Main.Version != "" && info.Main.Version != "(devel)" {
				v = info.Main.Version
			}
			a.printf("undercroft %s, %s %s/%s\n", v, runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return nil
		}),
	}
}
