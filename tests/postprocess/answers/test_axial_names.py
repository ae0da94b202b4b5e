"""Names of figures of sections round an axis."""

from __future__ import annotations

from crosscurrent.postprocess.answers.axial_names import axial_name, axial_names, plane_names


def test_what_is_no_figure_per_metre_keeps_its_name() -> None:
    for key in ("peak_current_density_a_per_m2", "field_strength_a_per_m", "thermal_conductivity_w_per_m_k", "gap_m"):
        assert axial_name(key, whole=True) == axial_name(key, whole=False) == key


def test_circuits_are_told_in_total_and_conductors_per_turn_at_any_depth() -> None:
    point = {
        "circuits": {"coil": {"resistance_ohm_per_m": 1.0, "voltage_v_per_m": [1.0, 2.0]}},
        "conductors": {"turn": {"loss_w_per_m": 3.0, "force_n_per_m": [1.0, 0.0]}},
        "slopes": [{"loss_w_per_m_per_si": 1.0, "conductors": {"turn": {"loss_w_per_m_per_si": 2.0}}}],
    }
    named = axial_names(point)
    assert named == {
        "circuits": {"coil": {"total_resistance_ohm": 1.0, "total_voltage_v": [1.0, 2.0]}},
        "conductors": {"turn": {"loss_w_per_turn": 3.0, "force_n_per_turn": [1.0, 0.0]}},
        "slopes": [{"total_loss_w_per_si": 1.0, "conductors": {"turn": {"loss_w_per_turn_per_si": 2.0}}}],
    }
    assert plane_names(named) == point
    assert axial_names(named) == named  # what has its names keeps them


def test_a_total_over_a_run_gives_way_to_the_figure() -> None:
    assert axial_names({"total_loss_w_per_m": 5.0, "total_loss_w": None}) == {"total_loss_w": 5.0}
    assert axial_names({"loss_w_per_m": 5.0, "total_loss_w": None}, whole=True) == {"total_loss_w": 5.0}
