"""Kinds of pictures of one solution, one file each: draw.py finds them by themselves."""
