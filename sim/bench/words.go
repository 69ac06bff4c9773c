package bench

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"bathtender/hal/quantity"
)

// word is one word of a line. A comma at the end of a word is a word by itself.
type word struct {
	text   string
	column int  // from 1, in characters
	quoted bool // stood in quotes
}

// lineMost is the most characters of a line; a statement needs far fewer.
const lineMost = 1000

// wordsOf splits a line into its words and leaves a comment out. The column of
// an error is that of what is wrong.
func wordsOf(line string) (words []word, column int, err error) {
	if !utf8.ValidString(line) {
		return nil, 1, fmt.Errorf("the line is not UTF-8, allowed is text in UTF-8")
	}
	runes := []rune(strings.TrimRight(line, "\r\n"))
	if len(runes) > lineMost {
		return nil, lineMost + 1, fmt.Errorf("the line has %d characters, allowed are up to %d", len(runes), lineMost)
	}
	for i := 0; i < len(runes); {
		switch r := runes[i]; {
		case unicode.IsSpace(r):
			i++
		case r == '#':
			return words, 0, nil
		case r == '"':
			text, after, ok := quotedText(runes, i+1)
			if !ok {
				return nil, i + 1, fmt.Errorf(`the quote has no end, allowed is a text between two, as in "airflow lost"`)
			}
			words = append(words, word{text, i + 1, true})
			i = after
			if i < len(runes) && !unicode.IsSpace(runes[i]) && runes[i] != ',' {
				return nil, i + 1, fmt.Errorf("%s stands right after a quote, allowed is a blank or a comma", quantity.Quote(string(runes[i])))
			}
		case r == ',':
			words = append(words, word{text: ",", column: i + 1})
			i++
		default:
			end := i
			for end < len(runes) && !unicode.IsSpace(runes[end]) && runes[end] != '"' {
				end++
			}
			text := strings.TrimRight(string(runes[i:end]), ",")
			words = append(words, word{text: text, column: i + 1})
			i += utf8.RuneCountInString(text)
		}
	}
	return words, 0, nil
}

// quotedText returns the text from a place after a quote to the next one, and
// the place after that. A backslash takes the next character as it is.
func quotedText(runes []rune, from int) (text string, after int, ok bool) {
	var b strings.Builder
	for i := from; i < len(runes); i++ {
		switch {
		case runes[i] == '"':
			return b.String(), i + 1, true
		case runes[i] == '\\' && i+1 < len(runes):
			i++
			b.WriteRune(runes[i])
		default:
			b.WriteRune(runes[i])
		}
	}
	return "", 0, false
}
