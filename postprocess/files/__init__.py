"""Files of results: numbers, fields, networks."""
