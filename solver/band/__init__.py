"""A whole band of frequencies through one reduced model."""
