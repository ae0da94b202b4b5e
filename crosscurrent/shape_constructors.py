"""One constructor for each shape, with exactly its arguments; each is `conductor` with the shape said.

Nothing heavy is imported until one is called.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, Unpack

from .conductor_keys import ConductorKeys, Entry, Further

if TYPE_CHECKING:
    from crosscurrent.casefile.conductors import ConductorTable

__all__ = ["angle", "bar", "box", "bundle", "channel", "drawing", "mesh", "outline", "round", "tube"]


def _conductor(name: str, shape: str, **keys: Unpack[ConductorKeys]) -> ConductorTable:
    from .api import conductor

    return conductor(name, shape, **keys)


def bar(
    name: str, *, width: str, thickness: str, edge_radius: str | None = None, **further: Unpack[Further]
) -> ConductorTable:
    """A flat bar, `width` along x and `thickness` along y.

    Raises
    ------
    CaseError
        With every fault of this conductor.

    Examples
    --------
    >>> made = bar("outgoing", width="100 mm", thickness="1/4 in", material="copper", temperature="70 degC")
    >>> made.draw().outer.area * 1e6
    635.0
    """
    return _conductor(name, "bar", width=width, thickness=thickness, edge_radius=edge_radius, **further)


def round(name: str, *, diameter: str, **further: Unpack[Further]) -> ConductorTable:
    """A solid round conductor.

    Raises
    ------
    CaseError
        With every fault of this conductor.

    Examples
    --------
    >>> made = round("rod", diameter="20 mm", material="copper")
    >>> f"{made.draw().outer.area * 1e6:.4f}"  # pi 10^2
    '314.1593'
    """
    return _conductor(name, "round", diameter=diameter, **further)


def tube(
    name: str,
    *,
    diameter: str | None = None,
    wall: str | None = None,
    bore: str | None = None,
    **further: Unpack[Further],
) -> ConductorTable:
    """A round tube by two of outer diameter, wall and bore.

    Raises
    ------
    CaseError
        With every fault of this conductor.

    Examples
    --------
    >>> made = tube("pad", diameter="20 mm", wall="1.5 mm", material="copper").draw()
    >>> f"{(made.outer.area - made.holes[0].area) * 1e6:.4f}"  # pi (10^2 - 8.5^2)
    '87.1792'
    """
    return _conductor(name, "tube", diameter=diameter, wall=wall, bore=bore, **further)


def box(
    name: str,
    *,
    width: str | None = None,
    thickness: str | None = None,
    wall: str | None = None,
    inner_width: str | None = None,
    inner_thickness: str | None = None,
    edge_radius: str | None = None,
    inner_radius: str | None = None,
    **further: Unpack[Further],
) -> ConductorTable:
    """A rectangular hollow bar by its wall and its outer or inner sizes; `edge_radius` is that of its outer edges.

    Raises
    ------
    CaseError
        With every fault of this conductor.

    Examples
    --------
    >>> made = box("bench", width="20 mm", thickness="12 mm", wall="2 mm", material="copper").draw()
    >>> f"{(made.outer.area - made.holes[0].area) * 1e6:.1f}"
    '112.0'
    """
    return _conductor(
        name, "box", width=width, thickness=thickness, wall=wall, inner_width=inner_width,
        inner_thickness=inner_thickness, edge_radius=edge_radius, inner_radius=inner_radius, **further,
    )  # fmt: skip


def angle(
    name: str, *, width: str, height: str, thickness: str, edge_radius: str | None = None, **further: Unpack[Further]
) -> ConductorTable:
    """An L, its corner at the lower left; its centre is the middle of its bounding box.

    Raises
    ------
    CaseError
        With every fault of this conductor.

    Examples
    --------
    >>> made = angle("rail", width="40 mm", height="30 mm", thickness="5 mm", material="copper")
    >>> f"{made.draw().outer.area * 1e6:.1f}"  # 5 (40 + 30 - 5)
    '325.0'
    """
    return _conductor(
        name, "angle", width=width, height=height, thickness=thickness, edge_radius=edge_radius, **further
    )


def channel(
    name: str, *, width: str, height: str, thickness: str, edge_radius: str | None = None, **further: Unpack[Further]
) -> ConductorTable:
    """A U open upward; its centre is the middle of its bounding box.

    Raises
    ------
    CaseError
        With every fault of this conductor.

    Examples
    --------
    >>> made = channel("trunk", width="40 mm", height="30 mm", thickness="5 mm", material="copper")
    >>> f"{made.draw().outer.area * 1e6:.1f}"  # 5 (40 + 2 (30 - 5))
    '450.0'
    """
    return _conductor(
        name, "channel", width=width, height=height, thickness=thickness, edge_radius=edge_radius, **further
    )


def outline(
    name: str,
    *,
    points: Sequence[Entry],
    holes: Sequence[Sequence[Entry]] | None = None,
    **further: Unpack[Further],
) -> ConductorTable:
    """A free outline of lines and arcs, with holes; corners ("x", "y") relative to the centre.

    Raises
    ------
    CaseError
        With every fault of this conductor.

    Examples
    --------
    >>> corners = [("0 mm", "0 mm"), ("10 mm", "0 mm"), ("0 mm", "6 mm")]
    >>> f"{outline('wedge', points=corners, material='copper').draw().outer.area * 1e6:.1f}"
    '30.0'
    """
    return _conductor(name, "outline", points=points, holes=holes, **further)


def bundle(
    name: str,
    *,
    strand_diameter: str,
    strands: int | str | None = None,
    insulated_diameter: str | None = None,
    enamel: Literal["grade 1", "grade 2"] | None = None,
    outer_diameter: str | None = None,
    pitch: str | None = None,
    layout: Literal["hexagonal", "square", "rings"] | None = None,
    width: str | None = None,
    thickness: str | None = None,
    edge_radius: str | None = None,
    file: str | None = None,
    layer: str | None = None,
    unit: str | None = None,
    scale: float | None = None,
    serving: str | None = None,
    construction: str | None = None,
    lay: Literal["transposed", "concentric", "straight"] | None = None,
    lay_length: str | None = None,
    take_up: float | None = None,
    sharing: Literal["equal", "free"] | None = None,
    **further: Unpack[Further],
) -> ConductorTable:
    """A bundle of fine strands; `strands` is their number, or a name of [named].

    Raises
    ------
    CaseError
        With every fault of this conductor: more strands than fit, strands thicker than the bundle.

    Examples
    --------
    >>> made = bundle("lead", construction="5 x 84", strand_diameter="0.1 mm", outer_diameter="3 mm", material="copper")
    >>> made.filling.count, f"{made.filling.resistance(58e6) * 1e3:.3f}"  # 1.04 / (58e6 x 420 x pi / 4 x 0.1e-3^2)
    (420, '5.436')
    """
    return _conductor(
        name, "bundle", strands=strands, strand_diameter=strand_diameter, insulated_diameter=insulated_diameter,
        enamel=enamel, outer_diameter=outer_diameter, pitch=pitch, layout=layout, width=width, thickness=thickness,
        edge_radius=edge_radius, file=file, layer=layer, unit=unit, scale=scale, serving=serving,
        construction=construction, lay=lay, lay_length=lay_length, take_up=take_up, sharing=sharing, **further,
    )  # fmt: skip


def drawing(
    name: str,
    *,
    file: str,
    layer: str | None = None,
    unit: str | None = None,
    scale: float | None = None,
    gap: str | None = None,
    **further: Unpack[Further],
) -> ConductorTable:
    """The closed outlines of one layer of a drawing (DXF, SVG); see `conductor`.

    Raises
    ------
    CaseError
        With every fault of this conductor, of its file too.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> from crosscurrent.examples import copied, known
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _, profile = copied(known("t-slot-busbar"), Path(folder))
    ...     made = drawing("busbar", file=f"{folder}/{profile}", material="copper")
    ...     len(made.draw().holes)
    2
    """
    return _conductor(name, "drawing", file=file, layer=layer, unit=unit, scale=scale, gap=gap, **further)


def mesh(
    name: str,
    *,
    file: str,
    region: str | int | None = None,
    unit: str | None = None,
    scale: float | None = None,
    **further: Unpack[Further],
) -> ConductorTable:
    """The outline of one region of a finished triangle mesh; see `conductor`.

    Raises
    ------
    CaseError
        With every fault of this conductor, of its file too.

    Examples
    --------
    >>> import tempfile
    >>> import meshio
    >>> square = meshio.Mesh([(0, 0, 0), (9, 0, 0), (9, 9, 0), (0, 9, 0)], [("triangle", [(0, 1, 2), (0, 2, 3)])])
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     square.write(f"{folder}/square.vtu")
    ...     made = mesh("busbar", file=f"{folder}/square.vtu", unit="mm", material="copper")
    ...     f"{made.draw().outer.area * 1e6:.4f}"
    '81.0000'
    """
    return _conductor(name, "mesh", file=file, region=region, unit=unit, scale=scale, **further)
