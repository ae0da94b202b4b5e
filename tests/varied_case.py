"""A case with names, tolerances, an own metal, plating, a place and an outline."""

CASE = """
[frequency]
at = ["85 kHz"]

[named]
gap = "3 mm +- 0.2 mm"
thick = "6 mm"
metal = "copper"

[material.mine]
conductivity = "50 MS/m +- 2 %"
permeability = 40

[[conductor]]
name = "outgoing"
shape = "bar"
width = "100 mm"
thickness = "thick"
centre = ["0 mm", "7 mm"]
material = "metal"
plating = [{ material = "silver", thickness = "10 um +- 3 um" }]
temperature = "70 degC +- 5 K"

[[conductor]]
name = "return"
shape = "outline"
points = [["0 mm", "0 mm"], ["50 mm", "0 mm"], { arc_to = ["40 mm", "5 mm"], bulge = 0.4 }, ["0 mm", "thick"]]
place = { below = "outgoing", gap = "gap" }
material = "mine"

[[circuit]]
name = "feed"
current = "900 A"
out = ["outgoing"]
back = ["return"]

[limits]
loss = "600 W/m"
"""
