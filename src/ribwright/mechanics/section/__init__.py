"""One flange in section: a layered strip of sheet pressed over the rounded edge of a block and let go."""
