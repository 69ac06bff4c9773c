package setup

// Registers is for the tests.
var Registers = registers
