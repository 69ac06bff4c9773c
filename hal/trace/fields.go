package trace

// Field is one column of a row, as text.
type Field struct {
	Name, Value string
	// Number says that the value is a decimal, which is a number of JSON too. A 0
	// or 1 of a contact, an output or an ..._ok is none: it stands for a bool.
	Number bool
}

// Fields returns the columns of the layout that are not empty for a row, in
// order. The text is that of the CSV, unquoted. An error says what about the
// layout makes no trace, or which bank is beyond the width of out_banks. What has
// no column is left out, the age of a reading among it.
func (l Layout) Fields(row *Row) ([]Field, error) {
	picked, err := l.pick()
	if err != nil {
		return nil, err
	}
	var fields []Field
	for _, c := range picked {
		if c.output && !row.HasOutputs {
			continue
		}
		value := string(c.append(nil, row, l.width()))
		switch c.name {
		case banksName:
			if err := checkBanks(row.Outputs.Banks, l.width()); err != nil {
				return nil, err
			}
		case requestName:
			value = row.Request.String()
		case eventsName:
			value = row.Events
		}
		if value != "" {
			fields = append(fields, Field{c.name, value, c.base == "decimal"})
		}
	}
	return fields, nil
}
