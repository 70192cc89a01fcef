package pipeline

import "fmt"

// guard makes a panic of the function that defers it into its error: no photo stops a
// run, whatever it does to the libraries that read it.
func guard(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("internal fault: %v", p)
	}
}
