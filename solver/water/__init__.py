"""Cooling water: coolant, pipes, circuits, and conduction to wet bores."""
