package scene

import "math"

// localMap is a coarse map of gains that evens out slow differences of light, as
// phones do.
type localMap struct {
	cell   int
	nx, ny int
	v      []float64
}

// localTone's cells are 1/60 of the picture's width, smoothed over a few.
const localCells, localSmooth = 60, 3

// localGain works the map out; strength 0 gives none.
func (f *Frame) localGain(strength float64) *localMap {
	if strength == 0 {
		return nil
	}
	m := &localMap{cell: max(1, f.W/localCells)}
	m.nx, m.ny = f.W/m.cell+1, f.H/m.cell+1
	m.v = make([]float64, m.nx*m.ny)
	count := make([]float64, len(m.v))
	total := 0.0
	for y := 0; y < f.H; y += 2 {
		for x := 0; x < f.W; x += 2 {
			l := math.Log(f.Px[y*f.W+x].lum() + 1e-4)
			i := y/m.cell*m.nx + x/m.cell
			m.v[i], count[i] = m.v[i]+l, count[i]+1
			total += l
		}
	}
	n := 0.0
	for i := range m.v {
		n += count[i]
		m.v[i] /= max(1, count[i])
	}
	mean := total / n
	for i := range m.v {
		if count[i] == 0 {
			m.v[i] = mean
		}
	}
	m.smooth()
	for i := range m.v {
		m.v[i] = math.Exp(strength * (mean - m.v[i]))
	}
	return m
}

// smooth averages over squares of cells, twice.
func (m *localMap) smooth() {
	for range 2 {
		out := make([]float64, len(m.v))
		for y := range m.ny {
			for x := range m.nx {
				sum, n := 0.0, 0.0
				for j := max(0, y-localSmooth); j <= min(m.ny-1, y+localSmooth); j++ {
					for i := max(0, x-localSmooth); i <= min(m.nx-1, x+localSmooth); i++ {
						sum, n = sum+m.v[j*m.nx+i], n+1
					}
				}
				out[y*m.nx+x] = sum / n
			}
		}
		m.v = out
	}
}

// at returns the gain at a pixel, straight-line between cells' middles; 1 without
// a map.
func (m *localMap) at(x, y int) float64 {
	if m == nil {
		return 1
	}
	u := min(max((float64(x)+0.5)/float64(m.cell)-0.5, 0), float64(m.nx)-1.001)
	v := min(max((float64(y)+0.5)/float64(m.cell)-0.5, 0), float64(m.ny)-1.001)
	i, j := int(u), int(v)
	tu, tv := u-float64(i), v-float64(j)
	k := j*m.nx + i
	return (m.v[k]*(1-tu)+m.v[k+1]*tu)*(1-tv) + (m.v[k+m.nx]*(1-tu)+m.v[k+m.nx+1]*tu)*tv
}
