"""The sentence on where a conductor's current flows."""

from crosscurrent.postprocess.answers.faces import FaceFlow
from crosscurrent.postprocess.answers.where_it_flows import where_it_flows


def thin(radius):
    return radius < 0.003


def faces(*current):
    names = ("lower face", "right face", "upper face", "left face")
    lengths = (0.1, 0.006, 0.1, 0.006)
    return [FaceFlow(n, c, abs(c), 1.0, 0.001, w) for n, c, w in zip(names, current, lengths, strict=True)]


def test_no_winner_is_named_among_shares_that_differ_by_less_than_is_known():
    said = where_it_flows(faces(0.4800, 0.02, 0.4836, 0.0164), 1.0, 2.0, 1.0, thin)
    assert said.startswith("48 % of the current in the lower face and the upper face each")
    said = where_it_flows(faces(0.40, 0.05, 0.50, 0.05), 1.0, 2.0, 1.0, thin)
    assert said.startswith("50 % of the current in the upper face,")


def test_even_filling_is_said_in_percent():
    said = where_it_flows(faces(0.49, 0.01, 0.49, 0.01), 1.0, 1.004, 1.0, thin)
    assert said == "the current fills the section evenly (the largest density is 0.4 % above the mean)"


def test_an_idle_conductor_has_only_induced_currents():
    assert where_it_flows(faces(0.4, 0.1, -0.4, -0.1), 0.0, 1.0, 0.0, thin).startswith("only induced currents")


def test_more_than_all_of_the_current_is_explained():
    faces = [
        FaceFlow("upper face", -11 + 0j, 12.0, 1.0, 1e-3, 0.02),
        FaceFlow("lower face", 12 + 0j, 13.0, 1.0, 1e-3, 0.02),
    ]
    said = where_it_flows(faces, 1 + 0j, 1e6, 1e5, lambda radius: radius < 0.01)
    assert said.endswith("1100 % flows backwards elsewhere: what its neighbours induce exceeds its own current")


def test_no_current_at_all():
    assert where_it_flows(faces(0.0, 0.0, 0.0, 0.0), 0.0, 0.0, 0.0, thin) == "carries no current"


def test_current_all_round_is_even():
    """Faces of 100 and 6 mm with densities per length that differ by less than an eighth."""
    said = where_it_flows(faces(0.47, 0.03, 0.47, 0.03), 1.0, 3.0, 1.0, thin)
    assert said == "the current keeps to the whole outline evenly, within 1 mm (39.4 thou) of it"


def test_what_flows_backwards_is_named():
    said = where_it_flows(faces(1.2, 0.0, -0.2, 0.0), 1.0, 3.0, 1.0, thin)
    assert said.startswith("120 % of the current in the lower face, within 1 mm (39.4 thou) of it; 20 % flows back")
