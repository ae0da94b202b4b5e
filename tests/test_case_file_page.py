"""The page about the case file says what the models say.

`python tests/test_case_file_page.py` writes docs/case-file.md anew.
"""

import re
from pathlib import Path

from crosscurrent.casefile.keys import Key, topics
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.command.ask_output import left_out
from crosscurrent.command.catalogue import CATALOGUE, COMMON_KEYS

ROOT = Path(__file__).parent.parent
PAGE = ROOT / "docs" / "case-file.md"
HEAD = """\
# The case file

<!-- made of the models by tests/test_case_file_page.py; written anew by: python tests/test_case_file_page.py -->

A case file is plain text (TOML). Every quantity is text with a unit ("6 mm", "1/4 in", "85 kHz", "900 A", "70 degC");
counts, ratios and relative permeability are bare numbers. x points to the right, y up; currents are rms, positive out
of the page. `crosscurrent new` writes a whole file to start from; `crosscurrent ask TABLE` and `crosscurrent shapes
SHAPE` show on the terminal what stands here. Every example runs as a part of a whole case.

Tables in double brackets may stand several times. Where names of conductors are asked for, `*` stands for any letters:
"bar.*", "go-*".
"""


def page() -> str:
    """The whole page."""
    known = topics()
    listed = [f"- [{_title(name)}](#{_anchor(_title(name))}): {topic.meaning}" for name, topic in known.items()]
    listed += [f"- [Shapes](#shapes): {', '.join(CATALOGUE)}", "- [Units](#units)"]
    common = ", ".join(f"`{key}`" for key in COMMON_KEYS)
    shapes = f"Every `[[conductor]]` has a `shape`, the keys of that shape, and of {common} what it needs."
    tables, each = (map(one, names) for one, names in ((_table, known), (_shape, CATALOGUE)))
    return "\n".join((HEAD, *listed, "", *tables, "## Shapes\n", f"{shapes}\n", *each, _units()))


def _title(name: str) -> str:
    heading = re.sub(r"(\[+.*\])", r"`\1`", topics()[name].heading)
    return heading or "At the top"


def _anchor(title: str) -> str:
    """As the common renderers of Markdown make it of a heading."""
    return re.sub(r"[^a-z0-9_ -]", "", title.lower()).replace(" ", "-")


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _table(name: str) -> str:
    topic = topics()[name]
    inside = " of " in topic.heading
    mark = "###" if inside else "##"
    example = f"```toml\n{topic.example}```\n"
    return f"{mark} {_title(name)}\n\n{_sentence(topic.meaning)}\n\n{_rows(topic.keys)}\n{example}"


def _rows(keys: tuple[Key, ...]) -> str:
    lines = ["| key | meaning | takes | for example | if left out |", "|---|---|---|---|---|"]
    for key in keys:
        cells = (f"`{key.name}`", key.meaning, key.kind, f"`{key.sample}`", left_out(key))
        lines.append(f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |")
    return "\n".join(lines) + "\n"


def _shape(name: str) -> str:
    entry = CATALOGUE[name]
    rule = f"{entry.rule}\n\n" if entry.rule else ""
    return f"### {name}\n\n{_sentence(entry.summary)}\n\n```\n{entry.drawing}\n```\n\n{rule}{_rows(entry.keys)}"


def _units() -> str:
    lines = ["## Units", "", "| quantity | units, common ones first | from | to |", "|---|---|---|---|"]
    for dimension in DIMENSIONS.values():
        low = f"{dimension.low}, or 0" if dimension.zero else dimension.low
        lines.append(f"| {dimension.noun} | {', '.join(dimension.units)} | {low} | {dimension.high} |")
    return "\n".join(lines) + "\n"


def test_the_page_says_what_the_models_say() -> None:
    said = PAGE.read_text(encoding="utf-8")
    assert said == page(), "the models have changed: python tests/test_case_file_page.py writes the page anew"


def test_every_link_of_the_page_leads_to_a_heading() -> None:
    said = PAGE.read_text(encoding="utf-8")
    headings = [_anchor(line.lstrip("# ")) for line in said.splitlines() if re.match("#+ ", line)]
    links = re.findall(r"\]\(#([^)]*)\)", said)
    assert len(links) > 25
    assert not set(links) - set(headings)
    assert len(set(links)) == len(links)


def test_the_page_is_where_the_readme_says() -> None:
    assert "](docs/case-file.md)" in (ROOT / "README.md").read_text(encoding="utf-8")


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
