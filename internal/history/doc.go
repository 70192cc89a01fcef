// Package history strings the visits of an orchard together: each tree's and each
// block's numbers visit by visit, the regrowth they show, and when the floor's
// light will fall under its target again.
//
// history.json, schema "rowlight-history/1": orchard, target, regrowth {low, high,
// learned, from}, visits (list of {name, day}), blocks and trees (lists of {name,
// points, under}): a point is {visit, day, sunlit, height, clear, cut} with value,
// low95, high95 each, absent where not measured; under is {say, from, to}.
package history
