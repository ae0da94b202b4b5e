"""Ground floor: shapes, outlines, sections and their meshes. Knows nothing of fields."""

if __name__ == "geometries":
    raise ImportError("import crosscurrent.geometries: a room under its bare name would be a second copy of every class")
