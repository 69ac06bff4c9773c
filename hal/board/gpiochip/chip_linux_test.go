package gpiochip

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAChipThatIsNotThere(t *testing.T) {
	folder := t.TempDir()
	_, err := find("cabinet-gpio", filepath.Join(folder, "chip*"))
	assert.EqualError(t, err, `no GPIO chip has the label "cabinet-gpio": this board has none at `+folder+"/chip*")

	_, err = Find(filepath.Join(folder, "chip9"))
	assert.EqualError(t, err, "the GPIO chip at "+folder+"/chip9 cannot be opened: no such file or directory")

	file := filepath.Join(folder, "chip3")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err = find("cabinet-gpio", filepath.Join(folder, "chip*"))
	assert.EqualError(t, err, `no GPIO chip with the label "cabinet-gpio" was found: `+file+" is not a GPIO chip: inappropriate ioctl for device")

	_, err = Chip{Path: file, Label: "x"}.Outputs(nil)
	assert.EqualError(t, err, `0 lines of chip "x" are asked for at once, allowed are 1 to 64`)
}
