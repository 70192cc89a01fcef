package vision

// #include "dictionary.h"
import "C"

// MarkerModules is the side of a marker in modules: 5x5 bits in a black border
// of one module.
const MarkerModules = 7

// MarkerPattern returns which modules of a marker are black, row by row, from
// OpenCV's dictionary DICT_5X5_100. An id outside 0..99 is an error.
func MarkerPattern(id int) (black [MarkerModules][MarkerModules]bool, err error) {
	var (
		msg     [shimErrBytes]C.char
		modules [MarkerModules * MarkerModules]C.uchar
	)
	code := C.rl_marker_modules(C.int(id), MarkerModules, &modules[0], &msg[0], shimErrBytes)
	if err := shimError(code, &msg, "marker pattern"); err != nil {
		return black, err
	}
	for i, m := range modules {
		black[i/MarkerModules][i%MarkerModules] = m != 0
	}
	return black, nil
}
