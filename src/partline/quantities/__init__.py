"""Numbers with meaning: units at the edge, constants, values with a range and an origin."""
