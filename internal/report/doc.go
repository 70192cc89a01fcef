// Package report turns the records of one visit into what people and programs
// read: trees.csv, photos.csv, trees.geojson, results.json, report.html and
// the ranked list on the terminal. It measures nothing and ranks nothing; the
// same result and options give the same bytes, for no clock is read in here.
//
// # results.json, schema "rowlight-results/1"
//
// One JSON object (RFC 8259, UTF-8, indented by two spaces), the body of
// [orchard.VisitResult]. Absent keys mean "not known"; no key ever holds a
// stand-in such as 0 or -1. Units are part of the names or stand in "unit".
//
//	schema    "rowlight-results/1"; a reader must refuse what it does not know
//	version   of the program that measured
//	settings  hash of the settings that the numbers depend on
//	orchard   the orchard's name
//	visit     the visit's name, as in photos/<visit>/
//	trees     list, ranked trees first in order of rank, then those unranked
//	photos    list, by path
//	weight_sways  list: the top of the list with one part's weight times factor:
//	          {part, factor, weight, top, in, out}, the last three lists of tree ids
//
// A tree:
//
//	id            {"block": key, "row": from 1, "tree": from 1}
//	measurements  list, see below
//	priority      absent where nothing of the tree could be measured
//	  score, low95, high95       0..100, 100 the most urgent
//	  rank, rank_low, rank_high  from 1; the last two are its 95 % interval
//	  tie                        trees with the same number cannot be told apart
//	  parts                      list of {name, points, weight, reason, missing}:
//	                             points of at most weight; missing: not measured
//	  sunlit_fraction_zenith20_weighed  {"value", "low95", "high95"}: the floor drawn
//	              toward its block's mean, as the priority counts it; the plan rests on it
//	unranked      why there is no priority
//	lat_deg, lon_deg  WGS 84, where the place is known
//	photos        paths within the orchard folder
//	missing       kinds of shot not taken or not usable: "floor", "side", "alley"
//	flags         sentences for people
//
// A measurement, of a tree or of a photo:
//
//	quantity   what, with its unit: "height_m", "sunlit_fraction_zenith20", ...
//	unit       "1" for shares and ratios, "m", "m2", "deg"
//	value, low95, high95   present together or absent together
//	at_m       only in a profile ("width_at_height_m", "clear_width_at_m"):
//	           height above ground, or distance from the camera
//	absent     why there is no value
//	method     "photo", "tape", "two boards", ...
//	photos     paths it came from
//	flags      sentences for people
//
// A photo: path, sha256 (of the file's bytes, hex), visit, tree, kind,
// placed_by, alley_side ("left" or "right" of the row seen from its tree 1; of a side photo
// the alley it was taken from), taken_at (RFC 3339 with offset), lat_deg, lon_deg, card_tree,
// boards, status ("measured", "refused", "failed", "card", "unplaced"),
// reason, mend, measurements, overlay (path within results/<visit>/), flags,
// settings, version.
//
// Within schema 1 keys may be added; none changes its meaning or unit, and
// none is taken away. Anything else makes it "rowlight-results/2".
//
// # trees.csv and photos.csv
//
// RFC 4180, UTF-8, a header line, CRLF line ends, point as decimal mark.
// Numbers carry their unit in the column's name, and their 95 % interval in
// the columns <name>_low95 and <name>_high95; an empty cell was not measured,
// and the column "absent" says why. Lists within a cell are parted by "; ".
// A text that a spreadsheet would take for a formula gets a leading
// apostrophe (see [WriteTreesCSV]).
//
// # trees.geojson
//
// RFC 7946, one Point a tree, only trees whose place is known.
package report
