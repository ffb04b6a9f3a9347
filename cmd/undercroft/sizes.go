package main

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"undercroft/scene/plan"
	"undercroft/scene/unit"
)

// sizes are the few measures on a command line that stand for a plan.
type sizes struct {
	of     plan.Sizes
	metric bool
}

// sizeFlags gives cmd the flags that stand for a plan.
func sizeFlags(cmd *cobra.Command) *sizes {
	z := &sizes{}
	f := cmd.Flags()
	f.StringVar(&z.of.Inside, "inside", "", "without a plan: inside of the cabinet, WIDTHxDEPTHxHEIGHT")
	f.StringVar(&z.of.Opening, "opening", "", "without a plan: hole in the front, WIDTHxHEIGHT")
	f.StringVar(&z.of.Sill, "sill", "", "without a plan: the hole's lower edge above the cabinet bottom")
	f.StringVar(&z.of.Sump, "sump", "", "without a plan: outside of the sump, WIDTHxDEPTHxHEIGHT")
	f.BoolVar(&z.metric, "metric", false, "without a plan: the sizes are in millimetres")
	return z
}

func (z *sizes) given() bool {
	return z.of.Inside != "" || z.of.Opening != "" || z.of.Sill != "" || z.of.Sump != "" || z.metric
}

// load makes a plan of the sizes.
func (z *sizes) load() ([]source, error) {
	if z.of.Inside == "" || z.of.Sump == "" {
		return nil, wrong(errors.New("without a plan a check needs at least --inside and --sump"))
	}
	if z.metric {
		z.of.Units = unit.Millimetres
	}
	s, _, err := plan.FromSizes(z.of)
	var bad *plan.SizeError
	switch {
	case errors.As(err, &bad):
		return nil, wrong(fmt.Errorf("--%s: %w", bad.Name, bad.Err))
	case err != nil:
		return nil, err
	}
	return []source{{name: "sizes from the command line", scene: s}}, nil
}
