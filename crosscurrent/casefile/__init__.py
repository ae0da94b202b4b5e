"""The case file: quantities with units, tables, checks, all faults at once."""
