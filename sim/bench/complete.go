package bench

import (
	"slices"
	"strings"
)

// Complete returns the line with its last word completed, as far as it can only
// be one thing.
func (s *Source) Complete(line string) string {
	words := strings.Fields(line)
	begun := ""
	if len(words) > 0 && !strings.HasSuffix(line, " ") {
		begun, words = words[len(words)-1], words[:len(words)-1]
	}
	var fits []string
	for _, word := range s.following(words) {
		if strings.HasPrefix(word, begun) {
			fits = append(fits, word)
		}
	}
	if len(fits) == 0 {
		return line
	}
	slices.Sort(fits)
	fits = slices.Compact(fits)
	first, last := fits[0], fits[len(fits)-1]
	same := 0 // what the first and the last share, all share
	for same < min(len(first), len(last)) && first[same] == last[same] {
		same++
	}
	line += first[len(begun):max(same, len(begun))]
	if len(fits) == 1 {
		line += " "
	}
	return line
}

// following returns words that may follow others.
func (s *Source) following(words []string) []string {
	if len(words) == 0 {
		return statementWords
	}
	last := words[len(words)-1]
	switch {
	case last == "help" && len(words) == 1:
		return statementWords
	case last == "start":
		return s.recipes()
	case last == "hold":
		return []string{"start", "stop", "reset"}
	case last == "phase":
		return []string{"idle", "purge", "preheat", "degas", "clean", "turn-over", "run-on"}
	case last == "bath":
		return []string{"a", "b"}
	case last == "wait":
		return []string{"until"}
	case last == "use":
		return []string{"machine", "recipe"}
	case slices.Contains([]string{"set", "ramp", "follow"}, last):
		return pointWords
	case slices.Contains([]string{"expect", "until", "not"}, last) || strings.HasSuffix(last, ","):
		return clauseWords
	case slices.Contains([]string{"level", "lid", "stop", "leak"}, last) && words[0] == "set":
		return []string{"open", "closed", "absent"}
	case slices.Contains([]string{"contactor", "heater", "fans", "emission", "sounder", "lamp"}, last):
		return []string{"on", "off"}
	}
	return nil
}

func (s *Source) recipes() []string {
	cabinet := s.cabinet
	if cabinet == nil { // what is used may still change
		c, err := s.Load(s.Machine, s.Recipes)
		if err != nil {
			return nil // it will be told when the line is read
		}
		cabinet = &c
	}
	var names []string
	for _, file := range cabinet.Recipes {
		names = append(names, file.Recipe.Name)
	}
	return names
}
