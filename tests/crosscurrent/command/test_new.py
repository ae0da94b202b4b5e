"""The command `new`: a case file that is written once and never over another."""

import tomllib


def test_new_writes_a_pair_and_never_overwrites(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("new", "bar") == (0, "Wrote bar.toml. Solve it with: crosscurrent run bar.toml\n", "")
    written = (tmp_path / "bar.toml").read_text("utf-8")
    case = tomllib.loads(written)
    assert [(c["name"], c["shape"]) for c in case["conductor"]] == [("outgoing", "bar"), ("return", "bar")]
    assert (case["circuit"][0]["out"], case["circuit"][0]["back"]) == (["outgoing"], ["return"])
    status, _, err = run("new", "bar")
    assert status == 2
    assert "there is such a file already" in err
    assert (tmp_path / "bar.toml").read_text("utf-8") == written


def test_new_takes_several_shapes_and_a_file_name(run, tmp_path):
    path = tmp_path / "feed.toml"
    assert run("new", "bar", "tube", "box", "--file", str(path))[0] == 0
    case = tomllib.loads(path.read_text("utf-8"))
    assert [c["shape"] for c in case["conductor"]] == ["bar", "tube", "box"]
    assert case["circuit"][0]["back"] == ["return", "return-2"]


def test_a_shape_that_needs_a_file_is_started_from_the_file(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    status, _, err = run("new", "bar", "drawing")
    assert status == 2
    assert "a drawing needs its file; start from it: crosscurrent look FILE --case CASE" in err
    assert list(tmp_path.iterdir()) == []


def test_new_takes_tables_and_three_phases(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("new", "three-phase", "cooling")[:2] == (
        0, "Wrote three-phase-cooling.toml. Solve it with: crosscurrent run three-phase-cooling.toml\n",
    )  # fmt: skip
    case = tomllib.loads((tmp_path / "three-phase-cooling.toml").read_text("utf-8"))
    assert [c["phase"] for c in case["circuit"]] == ["0 deg", "-120 deg", "120 deg"]
    assert case["cooling"]["finish"] == "dull"


def test_words_that_make_no_case_write_none(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for words, said in (
        ("bar water", "new: bar water do not go together:\nargument conductors 1, water 1: expected a conductor with"),
        ("bar tube three-phase", "expected one shape for all three phases, or three; found 2"),
        ("wather", 'no shape or table "wather"; did you mean "water"? known: bar, '),
        ("", "found none"),
    ):
        status, out, err = run("new", *words.split())
        assert (status, out) == (2, "")
        assert said in err
    assert list(tmp_path.iterdir()) == []
