"""Meshes of a section: boundary layers that follow the skin, and what lies between."""
