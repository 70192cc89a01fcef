package accuracy

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// Wrong is how far one photo's number is off: the same for all trees, and by chance, one
// standard deviation.
type Wrong struct {
	Bias, SD float64
	// Stated is the standard deviation that the photo's own interval tells.
	Stated float64
}

func (w Wrong) scaled(k float64) Wrong { return Wrong{k * w.Bias, k * w.SD, k * w.Stated} }

// InventedErrors are the errors of the numbers that a tree is ranked by.
//
// The sunlit share p's are times sqrt(p (1-p)), the form of a share of many small patches
// each of which is rightly or wrongly called. Of seven forms held against the 24 practice
// floors that are not all sun (a share of itself, of p (1-p), constant, hypotenuses of
// these, a free power) it is the likeliest for its number of terms, by AIC: 32 better than
// a share of itself, which had the dark floors too sure.
//
// The density's are the same at all densities: of four forms held against 156 drawn trees
// of 0.45 to 0.92 a constant is the likeliest by AIC (0.4 better than sqrt(d (1-d)), 30
// better than 1 - d), and the 10 practice trees, of 0.60 to 0.78, cannot tell.
type InventedErrors struct {
	Sunlit, Density Wrong
	HeightM, AlleyM Wrong
	// Spot adds what the floor of one photo may differ from the tree's whole floor.
	Spot bool
	// AsStated has the trees ranked by the photos' own intervals in place of the true
	// size of their errors.
	AsStated bool
}

func (e InventedErrors) scaled(k float64) InventedErrors {
	e.Sunlit, e.Density, e.HeightM, e.AlleyM = e.Sunlit.scaled(k), e.Density.scaled(k), e.HeightM.scaled(k), e.AlleyM.scaled(k)
	return e
}

// spots are e where each photo sees one spot of a tree's floor.
func (e InventedErrors) spots() InventedErrors {
	e.Spot = true
	return e
}

// stated are e ranked by the photos' own intervals.
func (e InventedErrors) stated() InventedErrors {
	e.AsStated = true
	return e
}

// fewestErrors that tell of a spread: with four, its 95 % interval reaches to 3.7 times
// what they show.
const fewestErrors = 4

// ErrorsOf reads the errors of single photos, and with a pair of photos of each side and
// alley, off judged photos. Alleys with boards at their edges are left out: few have them.
func ErrorsOf(rows []Row) (single, pairs InventedErrors, err error) {
	for _, f := range []struct {
		of     *Wrong
		q      orchard.Quantity
		method string
		perP   bool
	}{
		{&single.Sunlit, orchard.SunlitFraction, onePhoto, true},
		{&single.Density, orchard.DensityFraction, onePhoto, false},
		{&single.HeightM, orchard.HeightM, onePhoto, false},
		{&single.AlleyM, orchard.ClearWidthM, onePhoto, false},
		{&pairs.HeightM, orchard.HeightM, pairMethod, false},
		{&pairs.AlleyM, orchard.ClearWidthM, pairMethod, false},
	} {
		if *f.of, err = wrongOf(rows, f.q, f.method, f.perP); err != nil {
			return single, pairs, err
		}
	}
	pairs.Sunlit, pairs.Density = single.Sunlit, single.Density
	return single, pairs, nil
}

// wrongOf is the error of one quantity by one method, with perP over sqrt(p (1-p)). A
// floor all in sun tells nothing of one in flecks.
func wrongOf(rows []Row, q orchard.Quantity, method string, perP bool) (Wrong, error) {
	var errs, stated []float64
	for _, r := range rows {
		if r.Quantity != q || r.Method != method || r.Measured == nil || r.Low95 == nil || r.High95 == nil {
			continue
		}
		by := 1.0
		if perP {
			if r.Truth <= 0 || r.Truth >= allSun {
				continue
			}
			by = math.Sqrt(r.Truth * (1 - r.Truth))
		}
		errs = append(errs, (*r.Measured-r.Truth)/by)
		stated = append(stated, (*r.High95-*r.Low95)/(2*metrics.Z95)/by)
	}
	if len(errs) < fewestErrors {
		return Wrong{}, fmt.Errorf("%d photos tell of %s by %s, %d are needed", len(errs), q, method, fewestErrors)
	}
	mean, sd := stat.MeanStdDev(errs, nil)
	return Wrong{Bias: mean, SD: sd, Stated: stat.Mean(stated, nil)}, nil
}

// allSun is a floor without a shade on it, but for a few pixels.
const allSun = 0.99

// floorSeenM2 is what a floor photo shows within 1.5 m of the board.
const floorSeenM2 = 4.2

func (e InventedErrors) sunlit(rng *rand.Rand, p float64) metrics.Estimate {
	w := e.Sunlit.scaled(math.Sqrt(p * (1 - p)))
	if e.Spot {
		spot := metrics.SpotSD(p, floorSeenM2)
		w.SD, w.Stated = math.Hypot(w.SD, spot), math.Hypot(w.Stated, spot)
	}
	return e.share(rng, p, w)
}

// share sees a share with an error that is normal on the logit.
func (e InventedErrors) share(rng *rand.Rand, p float64, w Wrong) metrics.Estimate {
	slope := p * (1 - p)
	q := logistic(math.Log(p/(1-p)) + (w.Bias+w.SD*rng.NormFloat64())/slope)
	return metrics.FromShare(q, e.known(w)/slope*q*(1-q), 1e-4)
}

func (e InventedErrors) length(rng *rand.Rand, v float64, w Wrong) metrics.Estimate {
	x := v + w.Bias + w.SD*rng.NormFloat64()
	half := metrics.Z95 * e.known(w)
	return metrics.Estimate{Value: x, Low95: x - half, High95: x + half}
}

// known is the standard deviation that a tree is ranked by.
func (e InventedErrors) known(w Wrong) float64 {
	if e.AsStated {
		return w.Stated
	}
	return w.SD
}
