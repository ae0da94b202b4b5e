"""Words of a picture round an axis."""

from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter

from crosscurrent.postprocess.pictures.axial_words import in_axial_words


def test_labels_titles_and_texts_are_no_longer_per_metre() -> None:
    figure = Figure()
    axes = figure.add_subplot()
    axes.set_ylabel("R [mohm/m]")
    axes.set_title("loss 12 W/m, R [mΩ/m]")
    said = figure.text(0.1, 0.1, "H = 3 kA/m")
    in_axial_words(figure)
    assert (axes.get_ylabel(), axes.get_title(), said.get_text()) == ("R [mohm]", "loss 12 W, R [mΩ]", "H = 3 kA/m")


def test_marks_of_an_axis_are_no_longer_per_metre() -> None:
    figure = Figure()
    axes = figure.add_subplot()
    axes.yaxis.set_major_formatter(EngFormatter("N/m", sep=" "))
    in_axial_words(figure)
    assert axes.yaxis.get_major_formatter()(600.0) == "600 N"
