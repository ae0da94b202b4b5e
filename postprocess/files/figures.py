"""What the figures of an answer are called in the results document, for writing and for reading back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

# key of the document, with its unit -> field of the answer
CIRCUIT = {
    "current_a": "current",
    "voltage_v_per_m": "voltage",
    "resistance_ohm_per_m": "resistance",
    "resistance_error": "resistance_error",
    "inductance_h_per_m": "inductance",
    "inductance_error": "inductance_error",
    "reactance_ohm_per_m": "reactance",
    "dc_resistance_ohm_per_m": "dc_resistance",
    "resistance_ratio": "resistance_ratio",
    "loss_w_per_m": "loss",
    "own_loss_w_per_m": "own_loss",
    "own_loss_error": "own_loss_error",
    "own_resistance_ohm_per_m": "own_resistance",
    "own_resistance_error": "own_resistance_error",
    "own_dc_resistance_ohm_per_m": "own_dc_resistance",
    "own_resistance_ratio": "own_ratio",
    "shared_conductors": "shared",
    "temperature_low_degc": "temperature_low",
    "temperature_high_degc": "temperature_high",
    "lay_resistance_ohm_per_m": "lay_resistance",
}
CONDUCTOR = {
    "current_a": "current",
    "loss_w_per_m": "loss",
    "loss_error": "loss_error",
    "dc_resistance_ohm_per_m": "dc_resistance",
    "loss_ratio": "loss_ratio",
    "skin_depth_m": "skin_depth",
    "peak_current_density_a_per_m2": "peak_current_density",
    "crest_current_density_a_per_m2": "crest_current_density",
    "mean_current_density_a_per_m2": "mean_current_density",
    "force_n_per_m": "force",
    "force_error_n_per_m": "force_error",
    "temperature_degc": "temperature",
    "where": "sentence",
}
BUNDLE = {
    "strands": "strands",
    "strand_diameter_m": "strand_diameter",
    "outer_diameter_m": "outer_diameter",
    "copper_area_m2": "copper_area",
    "filling": "filling",
    "take_up": "take_up",
    "lay": "lay",
    "conductors": "members",
    "current_a": "current",
    "strand_current_low_a": "strand_current_low",
    "strand_current_high_a": "strand_current_high",
    "strand_current_error_a": "strand_current_error",
    "strand_low_at_m": "strand_low_at",
    "strand_high_at_m": "strand_high_at",
    "loss_w_per_m": "loss",
    "dc_loss_w_per_m": "dc_loss",
    "strand_skin_loss_w_per_m": "skin_loss",
    "uneven_sharing_loss_w_per_m": "sharing_loss",
    "inside_field_loss_w_per_m": "inside_loss",
    "outside_field_loss_w_per_m": "outside_loss",
    "crossed_loss_w_per_m": "crossed_loss",
    "group": "group",
    "group_laid_from": "together",
    "largest_group": "largest_group",
    "loss_if_laid_w_per_m": "loss_high",
}
ROUGHNESS = {"rq_m": "rq", "factor": "factor", "factor_low": "low", "factor_high": "high"}
LAYER = {"current_share": "current_share", "loss_share": "loss_share"}
FACE = {"current_share": "current_share", "loss_share": "loss_share", "depth_m": "depth"}
POINT = {"return_radius": "return_radius", "total_loss_w_per_m": "total_loss", "power_balance": "power_balance"}
MESH = {"elements": "elements", "unknowns": "unknowns", "order": "order", "refinements": "refinements"}
SEQUENCES = {
    "zero": "zero",
    "zero_error_ohm_per_m": "zero_error",
    "positive": "positive",
    "positive_error_ohm_per_m": "positive_error",
    "negative": "negative",
    "negative_error_ohm_per_m": "negative_error",
    "largest_mutual_over_positive": "mutual",
}
SLOPE = {
    "key": "key",
    "value_si": "value",
    "unit": "unit",
    "loss_w_per_m_per_si": "loss",
    "loss_slope_error": "loss_error",
    "loss_relative": "loss_relative",
    "current_share_per_si": "current",
    "current_slope_error": "current_error",
    "current_relative": "current_relative",
}
CIRCUIT_SLOPE = {
    "resistance_ohm_per_m_per_si": "resistance",
    "resistance_slope_error": "resistance_error",
    "inductance_h_per_m_per_si": "inductance",
    "inductance_slope_error": "inductance_error",
    "resistance_relative": "resistance_relative",
    "inductance_relative": "inductance_relative",
}
CONDUCTOR_SLOPE = {
    "loss_w_per_m_per_si": "loss",
    "loss_slope_error": "loss_error",
    "loss_relative": "loss_relative",
    "peak_force_n_per_m_per_si": "force",
    "peak_force_slope_error": "force_error",
    "peak_force_relative": "force_relative",
    "peak_outward_force_n_per_m_per_si": "outward",
    "peak_outward_force_slope_error": "outward_error",
    "peak_outward_force_relative": "outward_relative",
}
PHASORS = ("current", "voltage", "zero", "positive", "negative")  # fields that are pairs of real and imaginary part

Json = dict[str, Any]  # an object of a JSON document


def written(answer: object, table: Mapping[str, str]) -> Json:
    """The figures of an answer by their keys: complex ones and vectors as lists."""
    return {key: plain(getattr(answer, field)) for key, field in table.items()}


def read(found: Mapping[str, Any], table: Mapping[str, str]) -> Json:
    """The fields of an answer by their names, as `written` left them; those of later versions may be lacking.

    Examples
    --------
    >>> read({"current_a": [3.0, 4.0], "loss_w_per_m": 2.0}, {"current_a": "current", "loss_w_per_m": "loss"})
    {'current': (3+4j), 'loss': 2.0}
    """
    return {field: _typed(field, found[key]) for key, field in table.items() if key in found}


def plain(value: object) -> object:
    """A complex number or a vector as a list, all else as it is."""
    if isinstance(value, float):
        return value
    if isinstance(value, complex):
        return [float(value.real), float(value.imag)]
    return list(value) if isinstance(value, tuple) else value


def _typed(field: str, value: Any) -> object:
    if field in PHASORS:
        return complex(*value)
    return tuple(value) if isinstance(value, list) else value
