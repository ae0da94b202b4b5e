"""Ground floor: shapes, outlines, sections and their meshes. Knows nothing of fields."""

if __name__ == "geometries":
    raise ImportError("import crosscurrent.geometries: under its bare name every class would exist twice")
