"""Pictures of a study: curves, maps, fronts, causes, distributions and orders of many designs, from plain data."""
