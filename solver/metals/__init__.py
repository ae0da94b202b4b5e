"""Metals and what is exact about them: skin depth, layers, roughness."""
