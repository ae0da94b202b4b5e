"""Finite elements: matrices, the exact exterior, the factor."""
