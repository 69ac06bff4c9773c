package main

import (
	"fmt"
	"strings"

	"bathtender/firmware/journal"
	"bathtender/hal/quantity"
)

// parseKinds reads kinds of records with commas between them, out of those that
// are allowed. On a command line a kind of two words has a hyphen between them.
func parseKinds(text string, allowed []journal.Kind) ([]journal.Kind, error) {
	var list []journal.Kind
	for _, word := range strings.Split(text, ",") {
		kind, err := parseKind(strings.TrimSpace(word), allowed)
		if err != nil {
			return nil, err
		}
		list = append(list, kind)
	}
	return list, nil
}

func parseKind(word string, allowed []journal.Kind) (journal.Kind, error) {
	var names []string
	for _, kind := range allowed {
		name := kindWord(kind)
		if word == name || word == string(kind) {
			return kind, nil
		}
		names = append(names, name)
	}
	if near := quantity.Nearest(word, names); near != "" && word != "" {
		return "", fmt.Errorf("there is no kind %s; did you mean %s?", quantity.Quote(word), near)
	}
	return "", fmt.Errorf("there is no kind %s; allowed are %s", quantity.Quote(word), quantity.List(names))
}

// kindWord returns a kind as it is written on a command line.
func kindWord(kind journal.Kind) string { return strings.ReplaceAll(string(kind), " ", "-") }

// kindWords lists kinds as they are written on a command line.
func kindWords(kinds []journal.Kind) string {
	var names []string
	for _, kind := range kinds {
		names = append(names, kindWord(kind))
	}
	return strings.Join(names, ", ")
}
