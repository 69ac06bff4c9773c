package trace

import (
	"errors"
	"fmt"
	"math/bits"

	"bathtender/hal"
)

// banksColumn is out_banks: a 0 or 1 for each bank, bank 1 first.
func banksColumn() column {
	return column{
		name: banksName, about: "banks commanded on, bank 1 first", base: "string",
		shape: fmt.Sprintf("[01]{1,%d}", hal.MaxBanks), output: true,
		parse: func(row *Row, text string) error {
			banks, err := parseBanks(text)
			row.Outputs.Banks = banks
			return err
		},
		append: func(dst []byte, row *Row, banks int) []byte {
			for i := range banks {
				dst = appendBit(dst, row.Outputs.Banks.Has(i))
			}
			return dst
		},
	}
}

var errBanks = errors.New("is not a set of banks; expected a 0 or 1 for each bank, bank 1 first, " +
	fmt.Sprintf("at most %d of them", hal.MaxBanks))

// checkBanks refuses a bank beyond the width of out_banks.
func checkBanks(banks hal.Banks, width int) error {
	if used := bits.Len16(uint16(banks)); used > width {
		return fmt.Errorf("bank %d is commanded, and %s holds %d banks", used, banksName, width)
	}
	return nil
}

func parseBanks(text string) (hal.Banks, error) {
	if len(text) == 0 || len(text) > hal.MaxBanks {
		return 0, errBanks
	}
	var banks hal.Banks
	for i := range len(text) {
		bit, err := parseBit(text[i : i+1])
		if err != nil {
			return 0, errBanks
		}
		if bit {
			banks |= hal.Bank(i)
		}
	}
	return banks, nil
}
