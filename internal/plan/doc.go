// Package plan turns a visit's numbers into a prune plan: which trees, how much of
// each, where, which way, in what order. It measures nothing; what a rule of the
// trade says stands in options.toml, what the grower says in the orchard file's
// [plan] and in marks.csv.
//
// # plan.json, schema "rowlight-plan/1"
//
// One JSON object (RFC 8259, UTF-8, indented by two spaces). Absent keys mean "not
// known". Shares are 0..1, lengths metres, heights above the ground; units stand in the
// names. Within schema 1 keys may be added; none changes its meaning, and none is taken
// away.
//
//	schema, version, orchard, visit
//	settings       hash of the settings the visit was measured with
//	hours_limit, trees_limit   what --hours and --trees gave
//	starts         first day of work, where --from gave one
//	year           {"low", "high"}: the least and most share of the canopy in a year
//	regrowth       {"low", "high", "from"}: yearly regrowth of leaf and where it is from
//	site           {"value", "low95", "high95", "from"}: the site factor, where learned
//	trees          to do, in the order of work; see below
//	left           due, but left undone under the limits, in order of priority
//	maintenance    no main cut due, in order of priority
//	apart          taken out of the ranking: id, reasons, advice
//	unmeasured     trees of the orchard file without a number at this visit
//	hours          of all trees to do, where every one's are known
//	rounds         follow-up: {"days_after", "from", "do"}
//	seasons        by block: {"block", "from", "until", "say"}
//	cautions, notes  sentences for people
//
// A tree:
//
//	id             {"block", "row", "tree"}
//	order          its place in the work, from 1; absent where it is not to do
//	rank, rank_low, rank_high, score
//	light          absent where the floor was not measured
//	  sunlit_fraction_zenith20           {"value", "low95", "high95"}, as measured
//	  sunlit_fraction_zenith20_weighed   the same drawn toward the block's mean; P0 of
//	                                     all below where it is there
//	  from                               "the floor", or "the sky overhead" (a photo up)
//	  met, unsure                        at its target; the target within the interval
//	  thinning_leaf_fraction             evenly, 1 - ln Pt/ln P0; "bound": at least
//	  window_sky_fraction                fully cleared, (Pt-P0)/(1-P0)
//	  site_sky_fraction                  the window's, over the site factor
//	  seasons                            {"low95", "median", "high95", "never_chance"}
//	  paths                              even thinning at both ends of regrowth: list of
//	                                     {"regrowth", "reached", "years"}, a year
//	                                     {"before", "cut", "after"}: sunlit, leaf, sunlit
//	dark_core_fraction                   of the crown's volume deeper than 1 m
//	this_year      {"low", "high", "say"}: share of the leaf to take this year;
//	               expect_sunlit_fraction_zenith20 {"low", "high"}: the floor after it
//	places         where: {"kind", "low_m", "high_m", "size_m", "outline_fraction",
//	               "sure", "say"}; of an alley side, where known, "side" ("left" or
//	               "right" of the row seen from its tree 1) and "face" of the side photo
//	               ("near", "far")
//	options        ways suited, best first: {"key", "name", "reasons", "how", "watch"}
//	ruled_out      the others, each with its reasons
//	cautions       of this tree
//	hours          for the first option, where the grower gave hours
//	photo          the side photo the places are drawn on; picture: the drawn copy
//
// # plan.csv
//
// As the report's tables: RFC 4180, one row a tree, column "status" do, left,
// maintenance or apart; a text that a spreadsheet would take for a formula gets a
// leading apostrophe.
package plan
