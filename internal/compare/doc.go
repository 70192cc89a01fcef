// Package compare holds two visits of an orchard against each other: what was
// cut, what it did to the light, and whether that can be told.
//
// # compare.json, schema "rowlight-compare/1"
//
// One JSON object. Shares are 0 to 1, lengths metres; every number stands with
// low95 and high95. Absent keys mean "not known".
//
//	schema, version, orchard, before, after   (the two visits' names)
//	headline      the manager's line
//	yearly        {low, high}: the share of the canopy to take in a year
//	blocks        list: block, trees (compared), cut, changes (list of the mean
//	              over trees: quantity, unit, trees, controls, mean, low95, high95,
//	              smallest_seen, seen, against_control)
//	trees         list: id, verdict ("cut", "no change seen", "no verdict",
//	              "untouched", "felled", "missing"), say, leaf_removed and where it
//	              comes from, outline_removed, bared wood, changes, plan, yearly,
//	              target, reasons for no verdict, photos
//	notes         sentences that concern the whole
package compare
