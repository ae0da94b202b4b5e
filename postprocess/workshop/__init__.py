"""The section as a drawing for the workshop: outlines at 1:1, dimensions, notes, warning labels; as DXF and SVG."""
