"""Drawings and finished meshes in: DXF, SVG or triangles -> closed outlines of lines and arcs."""
