package journal

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
)

// A line is a JSON object whose last member is its checksum: CRC-32C
// (Castagnoli, as in iSCSI, RFC 3720 B.4) over all bytes before it, in eight
// hexadecimal digits.
const (
	sumLead = `,"crc":"`
	sumTail = `"}`
	sumSize = len(sumLead) + 8 + len(sumTail)
	// lineMost bounds a line: a reader must not be made to take a damaged file
	// of any length for one.
	lineMost = 1 << 16
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// appendLine adds a value as a line to dst. The value is a struct that becomes a
// JSON object with at least one member.
func appendLine(dst []byte, value any) ([]byte, error) {
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return dst, err
	}
	body := bytes.TrimSuffix(text.Bytes(), []byte("}\n"))
	if len(body)+sumSize+1 > lineMost {
		return dst, fmt.Errorf("the record has %d bytes, a record has %d at most", len(body)+sumSize+1, lineMost)
	}
	dst = append(dst, body...)
	dst = fmt.Appendf(dst, `%s%08x%s`, sumLead, crc32.Checksum(body, castagnoli), sumTail)
	return append(dst, '\n'), nil
}

// What can be wrong with a line.
var (
	errTorn     = errors.New("it does not end with its checksum")
	errChecksum = errors.New("its checksum does not fit")
)

// parseLine checks a line, which comes without its line end, and sets the value
// from it. Members that this version does not know are passed over.
func parseLine(line []byte, value any) error {
	cut := len(line) - sumSize
	if cut < 1 || string(line[cut:cut+len(sumLead)]) != sumLead || string(line[len(line)-len(sumTail):]) != sumTail {
		return errTorn
	}
	digits := line[cut+len(sumLead) : len(line)-len(sumTail)]
	if string(digits) != fmt.Sprintf("%08x", crc32.Checksum(line[:cut], castagnoli)) {
		return errChecksum
	}
	return json.Unmarshal(append(line[:cut:cut], '}'), value)
}
