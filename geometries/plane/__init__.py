"""The plane: outlines, shapes, sections, and whether they can stand."""
