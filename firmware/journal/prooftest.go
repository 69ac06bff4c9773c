package journal

// ProofTest is what came of proving the protective functions on the real cabinet.
type ProofTest struct {
	// Whole says that every function that can be tried by hand was to be tried;
	// otherwise only some were chosen. Broken says that the walk was ended early.
	Whole   bool          `json:"whole,omitempty"`
	Broken  bool          `json:"broken_off,omitempty"`
	Results []ProofResult `json:"results"`
}

// ProofResult is what came of one protective function.
type ProofResult struct {
	// Function is the protective function's name, Place that of the fan, probe or
	// bank, from 1; 0 where the whole cabinet is meant.
	Function string `json:"function"`
	Place    int    `json:"place,omitempty"`
	// By tells apart two ways to provoke the same function.
	By     string       `json:"by,omitempty"`
	Result ProofOutcome `json:"result"`
	// Seen is after how many seconds it was seen, at most; Allowed what it was
	// held against. Both are 0 where it was not seen.
	Seen    float64 `json:"seen_s,omitempty"`
	Allowed float64 `json:"allowed_s,omitempty"`
	// Why is the reason of a failure or of not trying.
	Why string `json:"why,omitempty"`
}

// ProofOutcome is pass, fail or not tried. A function that was not tried is never
// counted as passed.
type ProofOutcome string

// Outcomes.
const (
	ProofPassed   ProofOutcome = "pass"
	ProofFailed   ProofOutcome = "fail"
	ProofNotTried ProofOutcome = "not tried"
)
