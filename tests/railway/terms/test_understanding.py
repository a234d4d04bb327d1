"""What was sent, in our own words: only what our own words do not cover is taken for
something else.
"""

from datetime import UTC, datetime
from typing import Annotated, Any, ClassVar, Literal, get_args

import msgspec
import pytest

from standage.railway.roads.places import LimitKind
from standage.railway.stock.vehicles import LengthOver
from standage.railway.terms.synonyms import (
    CHOICES,
    TWO_WAYS,
    by_word,
    choice_meant,
    field_meant,
    fields_near,
)
from standage.railway.terms.understanding import heard
from standage.shapes.faults import Fault, Ruled

Kind = Literal["engine", "coach", "wagon", "brake_van", "other"]


class Hook(Ruled, frozen=True, kw_only=True):
    """A part that may be said in a word."""

    said_alone: ClassVar[str | None] = "type"
    type: str
    reach_mm: float | None = None


class Stock(Ruled, frozen=True, kw_only=True):
    """A thing with parts and choices."""

    kind: Kind | None = None
    scale: str | None = None
    vehicle_id: str | None = None
    front_coupling: Hook | None = None
    inner: tuple["Stock", ...] = ()
    ends_at: Annotated[datetime, msgspec.Meta(tz=True)] | None = None
    count: int = 1


@pytest.mark.parametrize(
    "sound",
    [
        {
            "kind": "wagon",
            "front_coupling": {"type": "loop"},
            "inner": [{"kind": "coach"}],
            "count": 3,
        },
        {"kind": None, "front_coupling": None, "ends_at": "2026-05-01T10:00:00Z"},
        {"vehicle_id": "2026-05-01", "scale": "car"},
        {},
    ],
)
def test_what_is_in_our_own_words_stays_as_it_is(sound: dict[str, Any]) -> None:
    said = heard(sound, Stock)
    assert (said.value, said.told, said.sent_as) == (sound, (), {})


@pytest.mark.parametrize(
    "strange",
    [
        None,
        3,
        "car",
        [1],
        {"kind": 7, "inner": {}},
        {"kinds": "engine"},
        {"inner": "x"},
    ],
)
def test_what_nobody_understands_stays_for_its_faults(strange: Any) -> None:
    assert heard(strange, Stock).value == strange


def test_words_are_understood_however_deep_and_where_they_stood_is_known() -> None:
    sent = {
        "inner": [
            {"front_coupler": "hook", "vehicle": "Ore wagon", "kind": "Freight Car"}
        ]
    }
    said = heard(sent, Stock)
    meant = {
        "front_coupling": {"type": "hook"},
        "vehicle_id": "Ore wagon",
        "kind": "wagon",
    }
    assert said.value == {"inner": [meant]}
    wanted = {
        "/inner/0/front_coupling/type": "/inner/0/front_coupler",
        "/inner/0/front_coupling/reach_mm": "/inner/0/front_coupler/reach_mm",
        "/inner/0/vehicle_id": "/inner/0/vehicle",
        "/inner/0/kind": "/inner/0/kind",
    }
    for own, theirs in wanted.items():
        assert said.as_sent(Fault(code="x", message="y", pointer=own)).pointer == theirs
    assert sent == {
        "inner": [
            {"front_coupler": "hook", "vehicle": "Ore wagon", "kind": "Freight Car"}
        ]
    }


def test_a_field_said_twice_is_left_for_its_fault() -> None:
    for sent in (
        {"vehicle_id": "a", "vehicle": "b"},
        {"vehicle": "b", "vehicle_id": "a"},
    ):
        assert heard(sent, Stock).value == sent


@pytest.mark.parametrize(
    ("day", "moment"),
    [
        ("2026-05-01", "2026-05-01T23:59:59Z"),
        ("2028-02-29", "2028-02-29T23:59:59Z"),
        ("2026-02-29", "2026-02-29"),
        ("26-05-01", "26-05-01"),
        ("2026-05-01 ", "2026-05-01 "),
        ("20260501", "20260501"),
    ],
)
def test_a_day_is_its_end(day: str, moment: str) -> None:
    assert heard({"ends_at": day}, Stock).value == {"ends_at": moment}


def test_the_end_of_a_day_is_in_utc() -> None:
    said = heard({"ends_at": "2026-05-01"}, Stock).value
    assert msgspec.convert(said, Stock).ends_at == datetime(
        2026, 5, 1, 23, 59, 59, tzinfo=UTC
    )


@pytest.mark.parametrize(
    ("around", "told"),
    [
        ({}, 1),
        ({"scale": "00"}, 0),
        ({"scale": "oo scale"}, 0),
        ({"scale": "H0n3"}, 1),
        ({"scale": "HO"}, 1),
        ({"scale": "00", "inner": [{"scale": "HO"}]}, 1),
    ],
)
def test_a_word_that_means_two_things_is_told_unless_practice_is_plain(
    around: dict[str, Any], told: int
) -> None:
    said = heard({"kind": "car", **around}, Stock)
    assert (said.value["kind"], len(said.told)) == ("coach", told)


def test_every_word_is_taken_for_something_there_is() -> None:
    for word, double in TWO_WAYS.items():
        assert choice_meant(word, [double.taken_as]) == double.taken_as
        assert choice_meant(word, ["something else"]) is None
    assert choice_meant("caboose", ["brake_van"]) == "brake_van"
    assert choice_meant("caboose", ["coach"]) is None


def test_no_field_of_ours_is_taken_for_another() -> None:
    assert field_meant("front_coupling", ["front_coupling"]) is None
    assert field_meant("engine", ["engines"]) is None
    assert field_meant("turnout_number", ["points_number"]) == "points_number"


def test_no_field_is_near_to_a_bare_unit() -> None:
    assert fields_near("mm", ["length_mm", "width_mm"]) == []
    assert fields_near("colour", ["length_mm"]) == []


@pytest.mark.parametrize("table", CHOICES)
def test_every_word_of_a_table_is_understood_among_the_choices_of_that_table(
    table: dict[str, str],
) -> None:
    missed = {
        word: value
        for word, value in by_word(table).items()
        if choice_meant(word, list(table)) != value
    }
    assert {word for word in missed if word not in TWO_WAYS} == set()


def test_a_word_that_stands_for_a_choice_in_two_tables_is_understood_in_each() -> None:
    assert choice_meant("Buffers", get_args(LimitKind)) == "buffer_stop"
    assert choice_meant("buffer faces", get_args(LengthOver)) == "buffers"
