package vision

// #include "planeclass.h"
import "C"

import "rowlight/calibrate"

// ClassesSeen writes for evenly spaced points before a lens that does not distort, given in
// the camera's frame by the first and the step, what stands for the class of the pixel that
// shows each: as[class], and as[255] where the photo does not show it. class is a picture w
// wide, row by row, each for a square of factor pixels of the photo.
func ClassesSeen[K ~uint8](class []SideClass, w, factor int, cam calibrate.Camera, first, step calibrate.Vec3, as *[256]K, out []K) {
	if len(out) == 0 || len(class) == 0 {
		return
	}
	s := C.rl_sights{fx: C.double(cam.FPx), fy: C.double(cam.FyPx()), cx: C.double(cam.CxPx), cy: C.double(cam.CyPx)}
	for k := range 3 {
		s.at[k], s.by[k] = C.double(first[k]), C.double(step[k])
	}
	C.rl_plane_classes(&s, C.int(len(out)), ucharsOf(class), C.int(w), C.int(len(class)/w), C.int(factor), ucharsOf(as[:]), ucharsOf(out))
}
