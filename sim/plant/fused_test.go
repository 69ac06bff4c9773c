package plant

import (
	"os"
	"os/exec"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestNoFusedMultiplyAdd reads what the compiler makes for processors that can
// multiply and add in one rounding: were a product anywhere added without an
// explicit conversion, these would give other bits than the rest (Go
// specification, "Floating-point operators").
func TestNoFusedMultiplyAdd(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles for other processors")
	}
	fused := regexp.MustCompile(`\S*(plant|thermal|health|supervisor|recipe|journal|interlock)/[a-z]+\.go:\d+\)\s+FN?M(ADD|SUB)\S*`)
	for _, processor := range []string{"arm64", "ppc64le"} {
		build := exec.Command("go", "build", "-gcflags=-S", "bathtender/firmware/thermal", "bathtender/sim/plant",
			"bathtender/firmware/health", "bathtender/firmware/recipe", "bathtender/firmware/supervisor", "bathtender/firmware/journal", "bathtender/interlock")
		build.Env = append(os.Environ(), "GOOS=linux", "GOARCH="+processor, "CGO_ENABLED=0")
		assembly, err := build.CombinedOutput()
		require.NoError(t, err, "%s", assembly)
		require.Contains(t, string(assembly), "FDIV", "this is assembly")
		assert.Empty(t, fused.FindAllString(string(assembly), -1), processor)
	}
}
