"""The command `shapes`: every shape, and one in detail with a sample to copy."""

import tomllib

from printed import row

from crosscurrent.command.catalogue import CATALOGUE


def test_shapes_shows_every_shape_and_one_in_detail(run):
    status, out, _ = run("shapes")
    assert status == 0
    for name, entry in CATALOGUE.items():
        assert row(out, name)
        assert all(line.strip() in out for line in entry.drawing.splitlines())
    status, out, _ = run("shapes", "box")
    assert status == 0
    sample = tomllib.loads(out[out.index("[[conductor]]") :])["conductor"][0]
    assert sample["shape"] == "box"
    assert sample["wall"] == "2 mm"


def test_a_long_sample_stands_below_the_table(run):
    _, out, _ = run("shapes", "outline")
    table, sample = out.split("[[conductor]]")
    assert "see below" in table
    assert tomllib.loads("[[conductor]]" + sample)["conductor"][0]["points"][0] == ["-15 mm", "-12.5 mm"]
