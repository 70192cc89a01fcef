package pipeline

import "fmt"

// guard makes a panic of the function that defers it into its error: no photo stops a
// run, whatever it does to the libraries that read it.
func guard(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("internal fault: %v", p)
	}
}

// Guarded runs what photos go through outside this package; a panic in it comes back
// as the fault, nil where there was none.
func Guarded(f func()) (fault error) {
	defer guard(&fault)
	f()
	return nil
}
