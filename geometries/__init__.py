"""Ground floor: shapes, outlines, sections and their meshes. Knows nothing of fields."""

if __name__ == "geometries":
    raise ImportError("import crosscurrent.geometries: under its bare name this room would be a second copy of every class")
