"""Faults are collected all at once, but no more is looked at than is told."""

from collections.abc import Iterator

import msgspec
import pytest

from standage.shapes.decoding import convert
from standage.shapes.faults import MOST_FAULTS, Faulty, Ruled


class Part(Ruled, frozen=True, kw_only=True):
    """A part that has a name."""

    name: str


class Whole(Ruled, frozen=True, kw_only=True):
    """What parts make up, or one beside them."""

    parts: tuple[Part, ...] | None = None
    part: Part | None = None


class Watched(dict[str, object]):
    """An object that counts how many of its names were looked at."""

    looked_at = 0

    def __iter__(self) -> Iterator[str]:
        for name in super().__iter__():
            self.looked_at += 1
            yield name


@pytest.mark.parametrize("place", ["part", "parts"])
def test_names_beyond_the_faults_that_are_told_are_not_looked_at(place: str) -> None:
    """Each unknown name is compared with all that are known: of many thousands that
    takes seconds.
    """
    part = Watched({f"a{number}": number for number in range(10 * MOST_FAULTS)})
    with pytest.raises(Faulty) as refused:
        convert({"part": part} if place == "part" else {"parts": [part]}, Whole)
    assert len(refused.value.faults) == MOST_FAULTS
    assert part.looked_at <= MOST_FAULTS


def test_parts_beyond_the_faults_that_are_told_are_not_looked_at() -> None:
    part = Watched({"nam": "Van"})
    with pytest.raises(Faulty) as refused:
        convert({"parts": [{}] * MOST_FAULTS + [part]}, Whole)
    assert len(refused.value.faults) == MOST_FAULTS
    assert part.looked_at == 0


def test_a_type_is_found_out_about_once_however_many_values_are_at_fault(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of a list with ten thousand rows at fault that took a minute."""

    class Own(Ruled, frozen=True, kw_only=True):
        """A type that no other test knows."""

        name: str

    asked = []
    original = msgspec.inspect.type_info

    def counted(kind: object) -> msgspec.inspect.Type:
        asked.append(kind)
        return original(kind)

    monkeypatch.setattr(msgspec.inspect, "type_info", counted)
    for _ in range(20):
        with pytest.raises(Faulty):
            convert({}, Own)
    assert asked.count(Own) == 1
