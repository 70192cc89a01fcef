package floorlight

import "rowlight/vision"

// largeParts keeps the 4-connected parts of a mask with at least so many pixels.
func largeParts(m *vision.Mask, least int) *vision.Mask {
	out, seen := vision.NewMask(m.W, m.H), vision.NewMask(m.W, m.H)
	var part []int
	for start, in := range m.In {
		if !in || seen.In[start] {
			continue
		}
		part = append(part[:0], start)
		seen.In[start] = true
		for k := 0; k < len(part); k++ {
			x, y := part[k]%m.W, part[k]/m.W
			for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				nx, ny := x+d[0], y+d[1]
				if m.At(nx, ny) && !seen.In[ny*m.W+nx] {
					seen.In[ny*m.W+nx] = true
					part = append(part, ny*m.W+nx)
				}
			}
		}
		if len(part) < least {
			continue
		}
		for _, i := range part {
			out.In[i] = true
		}
	}
	return out
}

// grown swells a mask by r pixels along both axes.
func grown(m *vision.Mask, r int) *vision.Mask {
	wide, out := vision.NewMask(m.W, m.H), vision.NewMask(m.W, m.H)
	spread := func(from, to *vision.Mask, dx, dy int) {
		for i, in := range from.In {
			if !in {
				continue
			}
			x, y := i%m.W, i/m.W
			for k := -r; k <= r; k++ {
				if nx, ny := x+k*dx, y+k*dy; nx >= 0 && ny >= 0 && nx < m.W && ny < m.H {
					to.In[ny*m.W+nx] = true
				}
			}
		}
	}
	spread(m, wide, 1, 0)
	spread(wide, out, 0, 1)
	return out
}

// joined marks what either mask does; both are of one size.
func joined(a, b *vision.Mask) *vision.Mask {
	out := vision.NewMask(a.W, a.H)
	for i := range out.In {
		out.In[i] = a.In[i] || b.In[i]
	}
	return out
}
