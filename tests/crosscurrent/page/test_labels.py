"""The page speaks the words of the trade where it has them."""

from crosscurrent.casefile.keys import topics
from crosscurrent.page.labels import LABELS, TITLES, in_titles, labels


def test_words_are_those_of_keys_and_tables_that_there_are() -> None:
    keys = {key.name for topic in topics().values() for key in topic.keys}
    assert {word.rpartition(".")[2] for word in LABELS} <= keys
    assert TITLES.keys() <= topics().keys()


def test_what_has_no_word_of_its_own_reads_as_it_is() -> None:
    assert labels("edge_radius", "conductor") == "edge radius"
    assert in_titles("needs [ladder]") == "needs ladder"
