"""The command `ask`: every table, and one in detail with an example to copy."""

from __future__ import annotations

import tomllib

import pytest
from printed import row

from crosscurrent.casefile.keys import topics
from crosscurrent.command.app import CommandError
from crosscurrent.command.ask import known_topic


def test_without_a_word_it_lists_every_table_with_what_it_is_for(run):
    status, out, err = run("ask")
    assert (status, err) == (0, "")
    for topic in topics().values():
        assert topic.name in row(out, topic.name)
        assert topic.meaning.split(";")[0][:30] in out


@pytest.mark.parametrize("name", ["water", "cooling", "limits", "case", "harmonics", "prices"])
def test_a_table_with_its_keys_and_an_example(run, name):
    status, out, _ = run("ask", name)
    topic = topics()[name]
    assert status == 0
    for key in topic.keys:
        assert row(out, key.name)
    example = out[out.index(topic.example) :]
    assert tomllib.loads(example) == tomllib.loads(topic.example)


def test_units_and_what_holds_where_a_key_is_left_out(run):
    out = run("ask", "water")[1]
    assert "Units of a flow: l/min, l/h, l/s" in out
    assert row(out, "inlet")[-1] == "needed"
    assert row(out, "pressure_drop")[-1] == "-"
    assert row(out, "joined")[-1] == '"series"'


def test_shapes_are_asked_for_alike(run):
    assert run("ask", "box")[1] == run("shapes", "box")[1]
    assert "crosscurrent shapes" in run("ask", "conductor")[1]


@pytest.mark.parametrize(("word", "name"), [("joints", "joint"), ("limit", "limits"), ("[[water]]", "water")])
def test_a_table_however_it_is_written(word, name):
    assert known_topic(word) == name


def test_an_unknown_word_has_the_nearest_beside_it(run):
    status, out, err = run("ask", "coling")
    assert (status, out) == (2, "")
    assert err.startswith('no table "coling"; did you mean "cooling"? known: case, named, frequency, sweep, ')
    with pytest.raises(CommandError, match="it is a key of water;"):
        known_topic("wall_limit")
    with pytest.raises(CommandError, match=r'no table "xyzzy"; known: case'):
        known_topic("xyzzy")
