package prove

import (
	"crypto/sha256"
	"fmt"
	"strings"
)

// fingerprintHead begins the fingerprint of a view's machine, which no file
// describes: its delays are shorter than a machine file may ask for.
const fingerprintHead = "view "

// Fingerprint names the view and its rules in a trace's sidecar.
func (v *View) Fingerprint() string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%+v", v.Rules))
	return fmt.Sprintf("%s%s %x", fingerprintHead, v.Name, sum[:8])
}

// ViewOf returns the view that a fingerprint names, or nil.
func ViewOf(fingerprint string) *View {
	name, ok := strings.CutPrefix(fingerprint, fingerprintHead)
	if !ok {
		return nil
	}
	name, _, _ = strings.Cut(name, " ")
	return Find(name)
}

// Find returns the view of a name, or nil.
func Find(name string) *View {
	for _, v := range Views() {
		if v.Name == name {
			return v
		}
	}
	return nil
}
