package profiles

import (
	"bytes"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
)

// symbols are the 32 signs of a fingerprint: digits and capitals but for I, L,
// O and U, which are easily taken for others.
const symbols = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// Fingerprint returns eight signs that tell one state of a rig from another,
// to be printed on whatever is made from it: so a map on the wall can be told
// from a newer plan. Two states agree by chance once in 2^40, about 10^12.
//
// It covers every byte of the rig file, comments and spaces too, and of the
// profile files of the user's that the rig names, each once, interfaces first,
// then sequencers, then voices, in the order of the rig. It leaves out a byte
// order mark and the difference between CR LF and LF, which copying may change,
// and the names of files. Built-in profiles and the songs are not covered.
//
// It is the first 40 bits, in base 32, of the SHA-256 (FIPS 180-4) of the files
// one after the other, each behind its length as 8 bytes, high byte first.
func Fingerprint(data []byte, profiles ...[]byte) string {
	h := sha256.New()
	for _, file := range append([][]byte{data}, profiles...) {
		file = bytes.TrimPrefix(file, []byte("\uFEFF"))
		file = bytes.ReplaceAll(file, []byte("\r\n"), []byte("\n"))
		h.Write(binary.BigEndian.AppendUint64(nil, uint64(len(file))))
		h.Write(file)
	}
	return base32.NewEncoding(symbols).EncodeToString(h.Sum(nil)[:5])
}

// Fingerprint returns the [Fingerprint] of the files that the rig was read
// from.
func (r *Rig) Fingerprint() string { return r.fingerprint }
