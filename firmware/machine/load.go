package machine

import (
	"fmt"
	"os"

	"bathtender/firmware/tomlfile"
)

// Load reads the machine file at a path. Its error is one sentence for a file
// that cannot be read, and a tomlfile.Problems for one that says something wrong.
func Load(path string) (*Machine, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the machine file cannot be read: %w", err)
	}
	return Parse(path, data)
}

// Parse reads a machine file from memory; the name is only used in messages. Its
// error is a tomlfile.Problems with all that is wrong, in the order of the file.
func Parse(name string, data []byte) (*Machine, error) {
	file, err := tomlfile.Parse(name, data)
	if err != nil {
		return nil, err
	}
	r := newReader(file)
	r.read()
	r.check()
	if err := file.Err(); err != nil {
		return nil, err
	}
	r.m.Fingerprint, r.m.Source = tomlfile.Fingerprint(data), data
	return r.m, nil
}
