"""Currents over time: modes, faults, harmonics."""
