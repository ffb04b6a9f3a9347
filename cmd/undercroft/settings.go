package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"
)

// settings are what a user may set once instead of on every command line.
type settings struct {
	NoColor bool          `mapstructure:"no-color"`
	Quiet   bool          `mapstructure:"quiet"`
	All     bool          `mapstructure:"all"`
	Jobs    int           `mapstructure:"jobs"`
	Time    time.Duration `mapstructure:"time"`
	Total   time.Duration `mapstructure:"total"`
	Width   int           `mapstructure:"width"`
	Height  int           `mapstructure:"height"`
	Fine    int           `mapstructure:"fine"`
}

// The files settings come from, and the head of environment variables.
const (
	projectSettings = ".undercroft.yaml"
	userSettings    = "settings.yaml" // in the folder undercroft of the user's settings
	settingsEnv     = "UNDERCROFT"
)

// defaults are the settings by name.
func defaults() map[string]any {
	return map[string]any{
		"no-color": false,
		"quiet":    false,
		"all":      false,
		"jobs":     runtime.NumCPU(),
		"time":     time.Duration(0),
		"total":    30 * time.Second,
		"width":    1600,
		"height":   1200,
		"fine":     2,
	}
}

// load reads the settings for one command: its flags come before the
// environment, that before the project's file, that before the user's.
func (s *settings) load(cmd *cobra.Command) error {
	v := viper.New()
	v.SetEnvPrefix(settingsEnv)
	v.SetEnvKeyReplacer(strings.NewReplacer("-", "_"))
	for name, value := range defaults() {
		v.SetDefault(name, value)
		if err := v.BindEnv(name); err != nil {
			return fmt.Errorf("setting %s: %w", name, err)
		}
		if f := cmd.Flags().Lookup(name); f != nil {
			if err := v.BindPFlag(name, f); err != nil {
				return fmt.Errorf("setting %s: %w", name, err)
			}
		}
	}
	files := []string{projectSettings}
	if dir, err := os.UserConfigDir(); err == nil {
		files = []string{filepath.Join(dir, "undercroft", userSettings), projectSettings}
	}
	for _, file := range files {
		said, err := settingsIn(file)
		if err == nil {
			err = v.MergeConfigMap(said)
		}
		if err != nil {
			return wrong(fmt.Errorf("settings in %s: %w", file, err))
		}
	}
	if err := v.UnmarshalExact(s); err != nil {
		return wrong(fmt.Errorf("settings: %w", err))
	}
	switch {
	case s.Jobs < 1:
		return wrong(fmt.Errorf("settings: jobs is %d, and must be 1 or more", s.Jobs))
	case s.Time < 0:
		return wrong(fmt.Errorf("settings: time is %v, and must not be negative", s.Time))
	case s.Total < 0:
		return wrong(fmt.Errorf("settings: total is %v, and must not be negative", s.Total))
	}
	return nil
}

// settingsIn reads a file of settings; one that is not there says nothing.
func settingsIn(file string) (map[string]any, error) {
	v := viper.New()
	v.SetConfigFile(file)
	if err := v.ReadInConfig(); err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, nil
		}
		return nil, err
	}
	known := slices.Sorted(maps.Keys(defaults()))
	for _, name := range v.AllKeys() {
		if !slices.Contains(known, name) {
			return nil, fmt.Errorf("there is no setting %q: there are %s", name, words(known))
		}
	}
	return v.AllSettings(), nil
}
