package calibrate

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g", what, got, want, tol)
	}
}

// The worked example of NREL/TP-560-34302, appendix A.5: 17 October 2003,
// 12:30:30 at UTC-7. Tolerances are half of the last digit given there.
const (
	exampleLat, exampleLon = 39.742476, -105.1786
	exampleDeltaT          = 67.0
)

func exampleTime() time.Time {
	return time.Date(2003, 10, 17, 12, 30, 30, 0, time.FixedZone("", -7*3600))
}

func exampleAir() SunOptions {
	return SunOptions{ElevationM: 1830.14, PressureMbar: 820, TemperatureC: 11, DeltaTSec: exampleDeltaT}
}

func TestSunWorkedExampleSteps(t *testing.T) {
	g := geocentric(exampleTime(), exampleDeltaT)
	near(t, "Julian day", g.julianDay, 2452930.312847, 6e-7)
	near(t, "L", g.longitudeDeg, 24.01826, 5.1e-6)
	near(t, "B", g.latitudeDeg, -0.0001011219, 5.1e-11)
	near(t, "R", g.radiusAU, 0.996542, 5.1e-7)
	near(t, "nutation in longitude", g.nutationLonDeg, -0.003998404, 5.1e-10)
	near(t, "nutation in obliquity", g.nutationOblDeg, 0.001666568, 5.1e-10)
	near(t, "obliquity", g.obliquityDeg, 23.440465, 5.1e-7)
	near(t, "declination", g.declinationDeg, -9.31434, 5.1e-6)
	near(t, "H", wrap360(g.siderealDeg+exampleLon-g.rightAscensionDeg), 11.105902, 5.1e-7)
}

func TestSunWorkedExample(t *testing.T) {
	s := SunPosition(exampleTime(), exampleLat, exampleLon, exampleAir())
	near(t, "zenith", s.ZenithDeg, 50.111622, 5.1e-7)
	near(t, "azimuth", s.AzimuthDeg, 194.340241, 5.1e-7)
	near(t, "declination", s.DeclinationDeg, -9.316179, 5.1e-7)
	// The public listings of the example give 11.10629 and check four decimals;
	// the report's own H less its shift of right ascension (202.22704 from
	// 202.22741) is 11.10627.
	near(t, "hour angle", s.HourAngleDeg, 11.10629, 5e-5)
	near(t, "hour angle by difference", s.HourAngleDeg, 11.105902+0.00037, 1e-5)
	near(t, "elevation", s.ElevationDeg, 90-s.ZenithDeg, 1e-12)
}

// Without the site's air and height the place moves by less than a photo could
// tell: refraction at 40 degrees is 0.02 degrees in all, delta T and parallax less.
func TestSunDefaultsAreCloseToTheExample(t *testing.T) {
	s := SunPosition(exampleTime(), exampleLat, exampleLon, SunOptions{})
	near(t, "zenith", s.ZenithDeg, 50.111622, 0.01)
	near(t, "azimuth", s.AzimuthDeg, 194.340241, 0.001)
	near(t, "delta T 2003", DeltaTSec(exampleTime()), 64.5, 1) // 64.5 s observed, from memory
	near(t, "diameter", s.DiameterDeg, 0.533/0.99654, 0.0005)
}

// The report's sunrise and sunset, 06:12:43 and 17:20:19, stand at a true
// elevation of -0.8333, which is -0.2667 with its 0.5667 of refraction. Our air
// (standard, not fixed) bends 0.61 there, 0.04 degrees more, which the sun
// climbs in 0.04/(15 cos 39.7) h = 13 s; half a minute covers it. The report
// works by the day of universal time, in which the sunset falls at 00:20 of
// 17 October: by the clock there the evening of the 16th.
func TestTimesAboveElevationMeetsTheExamplesSunriseAndSunset(t *testing.T) {
	zone := exampleTime().Location()
	rise, _, ok := TimesAboveElevation(exampleTime(), exampleLat, exampleLon, -0.2667)
	_, set, ok2 := TimesAboveElevation(exampleTime().AddDate(0, 0, -1), exampleLat, exampleLon, -0.2667)
	if !ok || !ok2 {
		t.Fatal("no sunrise")
	}
	for _, c := range []struct{ got, want time.Time }{
		{rise, time.Date(2003, 10, 17, 6, 12, 43, 0, zone)},
		{set, time.Date(2003, 10, 16, 17, 20, 19, 0, zone)},
	} {
		if d := c.got.Sub(c.want).Abs(); d > 30*time.Second {
			t.Errorf("%v is %v from %v", c.got, d, c.want)
		}
	}
}

// Noon table of the project's trade notes, section 3.3, calculated there by
// another, shorter algorithm (Meeus): minutes and tenths of a degree.
func TestSolarNoonTable(t *testing.T) {
	zone := time.FixedZone("", 10*3600)
	days := []string{"01-15", "03-20", "05-15", "06-21", "08-15", "09-22", "11-15", "12-21"}
	for _, site := range []struct {
		lat, lon float64
		noon     []string
		elev     []float64
	}{
		{-17, 145.5, []string{"12:27", "12:26", "12:14", "12:20", "12:23", "12:11", "12:03", "12:16"},
			[]float64{85.9, 73.2, 54.2, 49.6, 58.9, 72.6, 88.6, 83.6}},
		{-25, 152.5, []string{"11:59", "11:58", "11:46", "11:52", "11:55", "11:43", "11:35", "11:48"},
			[]float64{86.1, 65.2, 46.2, 41.6, 50.9, 64.6, 83.4, 88.4}},
		{-28.8, 153.4, []string{"11:56", "11:54", "11:43", "11:48", "11:51", "11:39", "11:31", "11:44"},
			[]float64{82.3, 61.4, 42.4, 37.8, 47.1, 60.8, 79.6, 84.6}},
	} {
		for i, d := range days {
			want, err := time.ParseInLocation("2006-01-02 15:04", "2026-"+d+" "+site.noon[i], zone)
			if err != nil {
				t.Fatal(err)
			}
			noon := SolarNoon(want, site.lat, site.lon)
			if diff := noon.Sub(want).Abs(); diff > 61*time.Second {
				t.Errorf("lat %g %s: noon %v, want %v", site.lat, d, noon, want)
			}
			s := SunPosition(noon, site.lat, site.lon, SunOptions{})
			near(t, "noon elevation "+d, s.ElevationDeg, site.elev[i], 0.11)
			near(t, "noon hour angle", s.HourAngleDeg, 0, 1e-4)
		}
	}
}

// Trade notes 3.3: at 17 S the noon sun stands south in December, else north.
func TestNoonSideOfTheSky(t *testing.T) {
	zone := time.FixedZone("", 10*3600)
	dec := SolarNoon(time.Date(2026, 12, 21, 0, 0, 0, 0, zone), -17, 145.5)
	near(t, "December azimuth", SunPosition(dec, -17, 145.5, SunOptions{}).AzimuthDeg, 180, 0.1)
	jun := SolarNoon(time.Date(2026, 6, 21, 23, 0, 0, 0, zone), -17, 145.5)
	az := SunPosition(jun, -17, 145.5, SunOptions{}).AzimuthDeg
	near(t, "June azimuth", wrap180(az), 0, 0.1)
}

func TestTimesAboveElevation(t *testing.T) {
	zone := time.FixedZone("", 10*3600)
	day := time.Date(2026, 6, 21, 9, 0, 0, 0, zone)
	// Trade notes 3.3: at 25 S an elevation of 45 is not reached in June.
	if _, _, ok := TimesAboveElevation(day, -25, 152.5, 45); ok {
		t.Error("45 degrees reached at 25 S in June")
	}
	from, to, ok := TimesAboveElevation(day, -25, 152.5, 30)
	if !ok {
		t.Fatal("30 degrees not reached")
	}
	for _, c := range []time.Time{from, to} {
		near(t, "elevation at the end", SunPosition(c, -25, 152.5, SunOptions{}).ElevationDeg, 30, 0.01)
	}
	noon := SolarNoon(day, -25, 152.5)
	if d := noon.Sub(from) - to.Sub(noon); d.Abs() > 30*time.Second { // solstice: the declination stands still
		t.Errorf("lopsided by %v", d)
	}
	// Midsummer night at 70 N: the sun never sets.
	from, to, ok = TimesAboveElevation(time.Date(2026, 6, 21, 0, 0, 0, 0, time.UTC), 70, 0, 0)
	if !ok || to.Sub(from) != 2*halfDay {
		t.Errorf("midnight sun from %v to %v, %v", from, to, ok)
	}
}

// The renderer of the truth set placed its sun by its own means from the same
// time and place. Its figures carry four decimals; what parts the two is its
// own algorithm, so the bound is what this job needs (trade notes 3.2: 0.5
// degrees) with room to spare.
func TestSunAgreesWithTheRenderedSet(t *testing.T) {
	files, err := filepath.Glob("../../shared/truth/rendered/*.json")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		t.Skip("SKIPPED: ../shared/truth/rendered is not here, sun not compared with the rendered set")
	}
	var count int
	var worstElev, worstAz float64
	for _, f := range files {
		var scene struct {
			Sun *struct {
				ElevationDeg float64 `json:"elevation_deg"`
				AzimuthDeg   float64 `json:"azimuth_deg"`
			} `json:"sun"`
			TimeLocal string  `json:"time_local"`
			Lat       float64 `json:"lat"`
			Lon       float64 `json:"lon"`
		}
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if json.Unmarshal(data, &scene) != nil || scene.Sun == nil || scene.TimeLocal == "" {
			continue
		}
		when, err := time.Parse(time.RFC3339, scene.TimeLocal)
		if err != nil {
			t.Fatalf("%s: %v", f, err)
		}
		count++
		s := SunPosition(when, scene.Lat, scene.Lon, SunOptions{})
		dElev := math.Abs(s.ElevationDeg - scene.Sun.ElevationDeg)
		dAz := math.Abs(wrap180(s.AzimuthDeg-scene.Sun.AzimuthDeg)) * math.Cos(s.ElevationDeg*radiansPerDegree)
		worstElev, worstAz = math.Max(worstElev, dElev), math.Max(worstAz, dAz)
		if dElev > 0.1 || dAz > 0.1 {
			t.Errorf("%s: sun %.3f/%.3f, scene %.3f/%.3f", filepath.Base(f), s.ElevationDeg, s.AzimuthDeg, scene.Sun.ElevationDeg, scene.Sun.AzimuthDeg)
		}
	}
	t.Logf("%d scenes, worst difference %.4f deg in elevation, %.4f deg across", count, worstElev, worstAz)
}
