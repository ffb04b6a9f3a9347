package main

import (
	"github.com/spf13/cobra"

	"undercroft/assets"
)

// helpTemplate puts the examples first: they are what most people look for.
const helpTemplate = `{{with (or .Long .Short)}}{{. | trimTrailingWhitespaces}}

{{end}}{{if .HasExample}}Examples:
{{.Example}}

{{end}}{{if or .Runnable .HasSubCommands}}{{.UsageString}}{{end}}`

const usageTemplate = `Usage:{{if .Runnable}}
  {{.UseLine}}{{end}}{{if .HasAvailableSubCommands}}
  {{.CommandPath}} COMMAND{{end}}{{if .HasAvailableSubCommands}}

Commands:{{range .Commands}}{{if or .IsAvailableCommand (eq .Name "help")}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}{{end}}{{if .HasAvailableLocalFlags}}

Flags:
{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}{{end}}{{if .HasAvailableInheritedFlags}}

Flags of every command:
{{.InheritedFlags.FlagUsages | trimTrailingWhitespaces}}{{end}}{{if .HasHelpSubCommands}}

More to read:{{range .Commands}}{{if .IsAdditionalHelpTopicCommand}}
  {{rpad .CommandPath 20}} {{.Short}}{{end}}{{end}}{{end}}
`

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "undercroft",
		Short: "Does the sump go into the cabinet?",
		Long: `Undercroft tells from what a tape measures whether a sump and all that belongs
to it go into an aquarium cabinet, how, and with how much room to spare.

Exit codes: 0 ok or tight, 1 no, 3 unsure, 2 the plan or the command line is
wrong, 70 a fault in the program.`,
		Example: `  undercroft check                          try a demo plan in which everything fits
  undercroft check --demo fails             try one that fails on purpose
  undercroft new my-cabinet.yaml            start a plan of your own
  undercroft check my-cabinet.yaml          check it
  undercroft views my-cabinet.yaml -o pics  draw it`,
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.SetHelpTemplate(helpTemplate)
	root.SetUsageTemplate(usageTemplate)
	root.PersistentFlags().Bool("no-color", false, "plain text, also on a terminal")
	root.PersistentFlags().BoolP("quiet", "q", false, "print results only: no progress, no list of what was written")
	root.AddCommand(
		a.checkCommand(),
		a.chooseCommand(),
		a.fixesCommand(),
		a.limitsCommand(),
		a.placeCommand(),
		a.verifyCommand(),
		a.sheetCommand(),
		a.viewsCommand(),
		a.modelCommand(),
		a.drawingsCommand(),
		a.newCommand(),
		a.measureCommand(),
		a.cutCommand(),
		a.schemaCommand(),
		a.versionCommand(),
		settingsTopic(),
	)
	return root
}

// runs makes the function of a command: it loads the settings first.
func (a *app) runs(do func(cmd *cobra.Command, args []string) error) func(*cobra.Command, []string) error {
	return func(cmd *cobra.Command, args []string) error {
		a.began = true
		if err := a.set.load(cmd); err != nil {
			return err
		}
		if a.set.NoColor {
			a.out.colour, a.err.colour = false, false
		}
		return do(cmd, args)
	}
}

// planFlags gives cmd what every command has that reads plans.
func planFlags(cmd *cobra.Command, demo *string) {
	cmd.Flags().StringVar(demo, "demo", "", "use a demo plan instead of a file: fits, fits-metric, fails or fails-metric")
	complete := cobra.FixedCompletions(assets.Demos(), cobra.ShellCompDirectiveNoFileComp)
	if err := cmd.RegisterFlagCompletionFunc("demo", complete); err != nil {
		panic(err) // the flag is defined one line above
	}
	cmd.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"yaml", "yml", "toml", "json"}, cobra.ShellCompDirectiveFilterFileExt
	}
}

func settingsTopic() *cobra.Command {
	return &cobra.Command{
		Use:   "settings",
		Short: "where settings come from",
		Long: `Flags that you would type every time can be set once. What comes first counts:

  1. the flag on the command line            --width 2000
  2. an environment variable                 UNDERCROFT_WIDTH=2000
  3. ` + projectSettings + ` in the folder you are in     width: 2000
  4. undercroft/` + userSettings + ` in your settings folder (on Linux ~/.config)

Settings are: no-color, quiet, all, jobs, time, total, width, height and fine. A plan
is never changed by a setting. NO_COLOR and TERM=dumb turn colours off as well.`,
	}
}
