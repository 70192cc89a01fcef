// Package house holds the tests that guard the layout of the code: which
// package may import which, and what lies at the top level. It has no code.
package house
