"""Names that differ and look the same, and names that do not.

The pairs are from Unicode Technical Standard #39 (confusables.txt, and “scope” in its
introduction), the values from memory, or are what a club writes by hand: common
practice, no source.
"""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.railway.terms.look_alikes import (
    look_alike,
    plain_letter,
    shape,
    spelt_like,
    what_looks_alike,
)
from standage.registry.database.tables import name_key

ALIKE = [
    ("Coal 1", "Соаl 1", "another alphabet (Cyrillic)"),
    ("scope", "ѕсоре", "another alphabet (Cyrillic)"),
    ("SCOPE", "ѕсоре", "another alphabet (Cyrillic)"),
    ("coal", "СОАL", "another alphabet (Cyrillic)"),
    ("Van", "Vаn", "another alphabet (Cyrillic)"),
    ("OMEGA", "ΟΜΕGΑ", "another alphabet (Greek)"),
    ("Noël", "Nоël", "another alphabet (Cyrillic)"),
    ("ЕLК", "ELK", "another alphabet (Cyrillic)"),
    ("Coal", "Ｃｏａｌ", "look the same"),
    ("Coal", "𝐂𝐨𝐚𝐥", "look the same"),
    ("Wagon 1", "Wagon １", "look the same"),
    ("Wagon 1", "Wagon I", "“1” and “I” look the same"),
    ("Wagon 1", "Wagon l", "“1” and “l” look the same"),
    ("Wagon 1", "Wagon |", "“1” and “|” look the same"),
    ("Wagon 1", "WAGON I", "“1” and “I” look the same"),
    ("10", "I0", "“1” and “I” look the same"),
    ("Wagon 10", "Wagon 1O", "“0” and “O” look the same"),
    ("Wagon II", "Wagon 11", "look the same"),
    ("Barn", "Bam", "“rn” and “m” look the same"),
    ("Coal-1", "Coal–1", "“-” and “–” look the same"),
    ("King`s road", "King's road", "“`” and “'” look the same"),
    ("Coal  1", "Соаl 1", "another alphabet (Cyrillic)"),
    ("King's road", "King’s road", "“'” and “’” look the same"),
]
PLAINLY_DIFFERENT = [
    ("Wagon 10", "Wagon 11"),
    ("Wagon 1", "Wagon 11"),
    ("Wagon 1", "Wagon i"),
    ("Wagon 1", "Wagon L"),
    ("Wagon 5", "Wagon S"),
    ("Wagon A", "Wagon B"),
    ("Koln", "Köln"),
    ("BARN", "BAM"),
    ("Up loop", "Uploop"),
    ("кот", "kot"),
    ("Board 2", "Board ²"),
]


@pytest.mark.parametrize(("one", "other", "words"), ALIKE)
def test_names_that_look_the_same_are_told_whichever_comes_first(
    one: str, other: str, words: str
) -> None:
    assert name_key(one) != name_key(other)
    assert look_alike(one, other)
    assert look_alike(other, one)
    assert words in what_looks_alike(one, other)


@pytest.mark.parametrize(("one", "other"), PLAINLY_DIFFERENT)
def test_names_that_plainly_differ_are_never_told(one: str, other: str) -> None:
    assert not look_alike(one, other)
    assert not look_alike(other, one)


@given(
    st.lists(st.integers(0, 99_999), min_size=2, max_size=30, unique=True),
    st.integers(1, 5),
)
def test_running_numbers_never_look_alike(numbers: list[int], width: int) -> None:
    names = [f"Wagon {number:0{width}d}" for number in numbers]
    assert not any(look_alike(one, other) for one, other in pairwise(names))
    assert len({shape(name).as_written for name in names}) == len(
        {shape(name).in_one_alphabet for name in names}
    )


@given(st.sampled_from(ALIKE))
def test_what_looks_alike_is_found_at_each_place_of_a_name_in_small_letters(
    pair: tuple[str, str, str],
) -> None:
    """The oracle is the comparison of the names themselves: what it calls alike, the
    letters must let through.
    """
    keys = [name_key(name) for name in pair[:2]]
    if len(keys[0]) != len(keys[1]):
        keys = [key.replace("rn", "m") for key in keys]
    for one, other in zip(*keys, strict=True):
        in_a_range = not other.isascii() and (
            "！" <= other <= "～" or "𝐀" <= other <= "𝟿"
        )
        assert other in spelt_like(one) or in_a_range


def test_a_letter_that_looks_like_no_other_is_spelt_in_one_way() -> None:
    assert (spelt_like("ж"), plain_letter("ж")) == ("ж", "ж")
