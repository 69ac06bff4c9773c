package tomlfile

import (
	"crypto/sha256"
	"encoding/hex"
)

// Fingerprint returns the SHA-256 of a file, in hexadecimal.
func Fingerprint(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
