package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"bathtender/firmware/cli"
	"bathtender/hal/quantity"
	"bathtender/sim/campaign"
	"bathtender/sim/exact"
)

// campaigning is one campaign on its way.
type campaigning struct {
	*campaign.Campaign
	plan     campaign.Plan
	identity campaign.Identity
	out      string
	workers  int
}

func runCampaign(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("campaign", flag.ContinueOnError)
	machineFile := s.String("machine", "", "machine `FILE`; the built-in demo tank without")
	singles := s.Int("singles", 20, "for how many seeds each fault is tried at every moment; `N`")
	pairs := s.Int("pairs", 0, "for how many seeds each pair of faults is tried; `N`")
	healthy := s.Int("healthy", 0, "how many sessions without faults are tried; `N`")
	out := s.String("out", "", "`FOLDER` for outcomes, tables and page. A campaign that was broken off goes on there")
	workers := s.Int("workers", 0, "how many cases are run side by side; `N`, 0 for one a processor. It changes nothing else")
	shard := s.String("shard", "", "run only part `K/N` of the cases, for one of several machines; see merge")
	asJSON := s.Bool("json", false, "print tables and cut sets as JSON")
	if _, err := flags(s, io.Out, args, 0, 0); err != nil {
		return err
	}
	for name, n := range map[string]int{"singles": *singles, "pairs": *pairs, "healthy": *healthy, "workers": *workers} {
		if n < 0 || n > 1_000_000 {
			return usageError(fmt.Sprintf("-%s %d is out of range, allowed is 0 to 1000000", name, n))
		}
	}
	k, n, err := parseShard(*shard)
	if err != nil {
		return err
	}
	if n > 1 && *out == "" {
		return usageError("a part of a campaign is of use only with -out FOLDER, to be merged later")
	}
	machine, err := loadCabinet(*machineFile, nil)
	if err != nil {
		return err
	}
	c := campaigning{plan: campaign.Plan{Singles: *singles, Pairs: *pairs}, out: *out, workers: *workers}
	if c.Campaign, err = campaign.New(machine.machine); err != nil {
		return err
	}
	c.identity = c.Identity(c.plan)
	outcomes, err := c.run(io, campaign.Shard(c.plan.Cases(), k, n))
	if err != nil {
		return err
	}
	nuisance, err := c.healthy(io, *healthy)
	if err != nil {
		return err
	}
	if n > 1 {
		fmt.Fprintf(io.Out, "part %d of %d: %d outcomes in %s; merge puts the parts together\n", k, n, len(outcomes), filepath.Join(*out, campaign.StoreName))
		return nil
	}
	return tellCampaign(io, c.identity, outcomes, nuisance, *out, *asJSON)
}

// parseShard reads "K/N"; nothing is all.
func parseShard(text string) (k, n int, err error) {
	if text == "" {
		return 1, 1, nil
	}
	a, b, ok := strings.Cut(text, "/")
	k, errK := strconv.Atoi(a)
	n, errN := strconv.Atoi(b)
	if !ok || errK != nil || errN != nil || k < 1 || n < k || n > 10000 {
		return 0, 0, usageError(fmt.Sprintf("-shard %q is no part, allowed is K/N with K from 1 to N, as in 2/8", text))
	}
	return k, n, nil
}

// run runs the cases, those that the folder does not have yet.
func (c *campaigning) run(io cli.Streams, cases []campaign.Case) ([]campaign.Outcome, error) {
	var store *campaign.Store
	var err error
	if c.out != "" {
		if store, err = campaign.OpenStore(c.out, c.identity); err != nil {
			return nil, err
		}
		defer store.Close()
	}
	outcomes := make([]campaign.Outcome, len(cases))
	var todo []campaign.Case
	var places []int
	for i, one := range cases {
		if store != nil {
			if o, ok := store.Has(one.Key()); ok {
				outcomes[i] = o
				continue
			}
		}
		todo, places = append(todo, one), append(places, i)
	}
	if len(todo) < len(cases) {
		fmt.Fprintf(io.Err, "%d of %d cases were run before\n", len(cases)-len(todo), len(cases))
	}
	shown := newProgress(io.Err)
	defer shown.done()
	n := 0
	err = c.RunAll(todo, c.workers, func(r campaign.Result) error {
		o := campaign.OutcomeOf(&r)
		outcomes[places[n]] = o
		n++
		shown.count("cases", n, len(todo))
		if store == nil {
			return nil
		}
		if err := store.Keep(o); err != nil {
			return err
		}
		if n%200 == 0 {
			return store.Flush()
		}
		return nil
	})
	return outcomes, err
}

// healthy runs sessions without faults, and returns the sentence about them.
func (c *campaigning) healthy(io cli.Streams, sessions int) (string, error) {
	if sessions == 0 {
		return "", nil
	}
	shown := newProgress(io.Err)
	defer shown.done()
	n, err := c.Healthy(sessions, c.workers, func(done int) { shown.count("sessions without faults", done, sessions) })
	if err != nil {
		return "", err
	}
	bound := exact.UpperBound(n.Tripped, n.Sessions, 0.95)
	text := fmt.Sprintf("%d sessions without faults: %d with a trip, %d not finished. With 95 %% confidence fewer than %.2g in a hundred have a nuisance trip "+
		"(Clopper and Pearson's upper bound).", n.Sessions, n.Tripped, n.Unfinished, 100*bound)
	for _, said := range n.Said {
		text += "\n  " + said
	}
	return text, nil
}

// tellCampaign prints and writes what came of a campaign.
func tellCampaign(io cli.Streams, identity campaign.Identity, outcomes []campaign.Outcome, nuisance, out string, asJSON bool) error {
	table, sets := campaign.Table(outcomes), campaign.CutSets(outcomes)
	if asJSON {
		e := json.NewEncoder(io.Out)
		e.SetIndent("", "  ")
		if err := e.Encode(map[string]any{"identity": identity, "faults": table, "cut_sets": sets, "nuisance": nuisance}); err != nil {
			return err
		}
	} else {
		if len(table) > 0 {
			if err := campaign.WriteText(io.Out, table); err != nil {
				return err
			}
			fmt.Fprintln(io.Out)
		}
		if len(outcomes) > 0 {
			tellSets(io.Out, outcomes, sets)
		}
		if nuisance != "" {
			fmt.Fprintln(io.Out, nuisance)
		}
	}
	if out != "" {
		if err := writeCampaign(out, identity, outcomes, nuisance); err != nil {
			return err
		}
		if !asJSON {
			fmt.Fprintf(io.Out, "page: %s\n", filepath.Join(out, "campaign.html"))
		}
	}
	for _, set := range sets {
		if len(set.Faults) == 1 {
			return errFailed
		}
	}
	return nil
}

func tellSets(w io.Writer, outcomes []campaign.Outcome, sets []campaign.CutSet) {
	alone, pairs := 0, 0
	for i := range outcomes {
		if outcomes[i].First == "" {
			alone++
		} else {
			pairs++
		}
	}
	fmt.Fprintf(w, "%s of single faults, %s of pairs.\n", quantity.Count(alone, "case"), quantity.Count(pairs, "case"))
	if len(sets) == 0 {
		fmt.Fprintln(w, "None led to a hazard.")
		return
	}
	fmt.Fprintln(w, "What leads to a hazard, and the protection without a program that must cover it:")
	_ = campaign.WriteCutSets(w, sets)
}

// writeCampaign writes page and table into a folder.
func writeCampaign(folder string, identity campaign.Identity, outcomes []campaign.Outcome, nuisance string) error {
	write := func(name string, to func(io.Writer) error) error {
		file, err := os.Create(filepath.Join(folder, name))
		if err != nil {
			return fmt.Errorf("%s cannot be written: %w", name, err)
		}
		return errors.Join(to(file), file.Close())
	}
	page := campaign.Page{Title: "Campaign: every fault, every phase", Identity: identity, Outcomes: outcomes, Nuisance: nuisance}
	return errors.Join(
		write("campaign.html", page.Write),
		write("campaign.csv", func(w io.Writer) error { return campaign.WriteCSV(w, outcomes) }),
	)
}

// merge puts the parts of a campaign together.
func merge(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("merge", flag.ContinueOnError)
	out := s.String("out", "", "`FOLDER` for outcomes, table and page of the whole")
	asJSON := s.Bool("json", false, "print tables and cut sets as JSON")
	words, err := flags(s, io.Out, args, 1, math.MaxInt)
	if err != nil {
		return err
	}
	var identity campaign.Identity
	have := map[string]campaign.Outcome{}
	for i, folder := range words {
		path := filepath.Join(folder, campaign.StoreName)
		found, list, _, err := campaign.ReadStore(path)
		if err != nil {
			return err
		}
		if i == 0 {
			identity = found
		}
		if found != identity {
			return fmt.Errorf("%s is a part of another campaign (%s) than the first (%s)", path, found, identity)
		}
		for _, o := range list {
			have[o.Key] = o
		}
	}
	var outcomes []campaign.Outcome
	missing := 0
	for _, one := range (campaign.Plan{Singles: identity.Singles, Pairs: identity.Pairs}).Cases() {
		if o, ok := have[one.Key()]; ok {
			outcomes = append(outcomes, o)
		} else {
			missing++
		}
	}
	if missing > 0 || len(outcomes) != len(have) {
		return fmt.Errorf("%d of %d cases are in none of the parts, and %d are of no case of this version", missing, identity.Cases, len(have)-len(outcomes))
	}
	if *out != "" {
		store, err := campaign.OpenStore(*out, identity)
		if err != nil {
			return err
		}
		for _, o := range outcomes {
			if _, ok := store.Has(o.Key); !ok {
				if err := store.Keep(o); err != nil {
					return errors.Join(err, store.Close())
				}
			}
		}
		if err := store.Close(); err != nil {
			return err
		}
	}
	return tellCampaign(io, identity, outcomes, "", *out, *asJSON)
}
