package report

import (
	"time"

	"rowlight/internal/orchard"
)

// referenceZenithDeg is the solar zenith that sunlit_fraction_zenith20 is
// normalised to; the quantity's name carries it.
const referenceZenithDeg = 20

// OptionsFor returns the report's options for an orchard: its blocks as they
// are walked, its targets, and the moment to print.
func OptionsFor(o *orchard.Orchard, generatedAt time.Time) Options {
	opt := Options{GeneratedAt: generatedAt, Targets: targetsFor(o)}
	for i := range o.Blocks {
		opt.Layout.Blocks = append(opt.Layout.Blocks, blockFor(&o.Blocks[i], o.Crop.Targets))
	}
	return opt
}

func targetsFor(o *orchard.Orchard) Targets {
	t := o.Crop.Targets
	return Targets{
		SunlitFraction: t.FloorSunlitFraction, ClearWidthM: t.ClearAlleyM,
		HeightM: t.HeightLimitM, HeightToRow: t.HeightToRowSpacing, HeightToClear: t.HeightToClearAlley,
		RemovalLow: t.YearlyRemovalLow, RemovalHigh: t.YearlyRemovalHigh,
		FloorRadiusM: o.Board.FloorRadiusM, ReferenceZenithDeg: referenceZenithDeg,
	}
}

func blockFor(b *orchard.Block, t orchard.Targets) Block {
	bearing := b.RowDirectionDeg
	limit, _ := t.HeightLimit(b.RowSpacingM)
	return Block{
		Key: b.Key, Name: b.Name, Rows: b.Rows, RowTrees: b.RowTrees, Missing: b.Missing,
		RowSpacingM: b.RowSpacingM, TreeSpacingM: b.TreeSpacingM,
		RowBearingDeg: &bearing, NextRowLeft: b.NextRowLeft, HeightLimitM: limit,
	}
}
