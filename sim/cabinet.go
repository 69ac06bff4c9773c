package main

import (
	"flag"
	"fmt"
	"io/fs"
	"os"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/firmware/supervisor"
	"bathtender/testdata"
)

// cabinet is a machine with its recipes and the supervisor that they make.
type cabinet struct {
	machine *machine.Machine
	recipes []*recipe.File
	config  supervisor.Config
}

// fileList is a flag that may be given several times.
type fileList []string

func (l *fileList) String() string     { return fmt.Sprint([]string(*l)) }
func (l *fileList) Set(s string) error { *l = append(*l, s); return nil }

func recipeFlag(s *flag.FlagSet) *fileList {
	var list fileList
	s.Var(&list, "recipe", "recipe `FILE`, as often as wanted; the built-in recipes without")
	return &list
}

// loadCabinet reads the files; the built-in demo tank and its recipes stand in
// for what is not named.
func loadCabinet(machineFile string, recipeFiles []string) (cabinet, error) {
	var c cabinet
	read, name := os.ReadFile, machineFile
	if machineFile == "" {
		read, name = testdata.FS.ReadFile, demoMachine
	}
	data, err := read(name)
	if err != nil {
		return c, unreadable("machine file", name, err)
	}
	if c.machine, err = machine.Parse(name, data); err != nil {
		return c, err
	}
	if c.recipes, err = loadRecipes(recipeFiles); err != nil {
		return c, err
	}
	c.config, err = setup.Supervisor(c.machine, c.recipes)
	return c, err
}

// unreadable says that a file cannot be read, and why.
func unreadable(what, name string, err error) error {
	return fmt.Errorf("%s %q cannot be read: %w", what, name, fileerror.Cause(err))
}

const demoMachine = "machines/slide-tank.toml"

func loadRecipes(names []string) ([]*recipe.File, error) {
	read := os.ReadFile
	if len(names) == 0 {
		built, err := fs.Glob(testdata.FS, "recipes/*.toml")
		if err != nil {
			return nil, err
		}
		read, names = testdata.FS.ReadFile, built
	}
	var list []*recipe.File
	for _, name := range names {
		data, err := read(name)
		if err != nil {
			return nil, unreadable("recipe", name, err)
		}
		file, err := recipe.Parse(name, data)
		if err != nil {
			return nil, err
		}
		list = append(list, file)
	}
	return list, nil
}
