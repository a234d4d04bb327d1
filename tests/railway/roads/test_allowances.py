"""What a place gives: its length, the margin taken off it, and how far off it may
be.
"""

from typing import Any, get_args

import pytest

from standage.railway.roads.allowances import (
    GIVEN,
    SURVEYED,
    Allowance,
    FromPlan,
    Given,
    Provenance,
    Surveyed,
    allowance,
    called,
)
from standage.railway.terms.reasons import Assumed
from support.stock import road


def given(
    *, known_by: Provenance, asked_mm: float | None = None, **figures: Any
) -> Allowance:
    return allowance(
        road(2000.0, **figures), known_by=known_by, stopping_margin_mm=asked_mm
    )


@pytest.mark.parametrize(
    ("known_by", "figures", "margin_mm"),
    [
        (GIVEN, {}, 0.0),
        (GIVEN, {"stopped_by": "eye"}, 0.0),
        (SURVEYED, {}, 25.0),
        (SURVEYED, {"stopped_by": "eye"}, 25.0),
        (SURVEYED, {"stopped_by": "stops"}, 10.0),
        (SURVEYED, {"kind": "turntable"}, 0.0),
        (SURVEYED, {"kind": "reversing_section"}, 0.0),
        (SURVEYED, {"kind": "cassette"}, 25.0),
        (FromPlan(), {}, 0.0),
        (FromPlan(), {"stopped_by": "eye"}, 0.0),
        (FromPlan(on_record=True), {}, 25.0),
        (FromPlan(on_record=True), {"stopped_by": "stops"}, 10.0),
        (FromPlan(on_record=True), {"kind": "turntable"}, 0.0),
    ],
)
def test_the_margin_has_a_default_that_is_told(
    figures: dict[str, Any], margin_mm: float, *, known_by: Provenance
) -> None:
    found = given(known_by=known_by, **figures)
    assert found.margin_mm == margin_mm
    (told,) = [one for one in found.assumed if one.field == "stopping_margin_mm"]
    assert (told.source, told.value_mm) == ("default", margin_mm)


@pytest.mark.parametrize(
    ("asked_mm", "margin_mm"), [(None, 40.0), (60.0, 60.0), (0.0, 0.0)]
)
def test_a_margin_asked_for_counts_before_the_places_own_and_neither_is_a_guess(
    asked_mm: float | None, margin_mm: float
) -> None:
    found = given(known_by=SURVEYED, asked_mm=asked_mm, stopping_margin_mm=40.0)
    assert found.margin_mm == margin_mm
    assert [one.field for one in found.assumed] == ["plus_minus_mm"]


@pytest.mark.parametrize(
    ("known_by", "own_mm", "plus_minus_mm"),
    [
        (GIVEN, None, 0.0),
        (SURVEYED, None, 3.0),
        (SURVEYED, 0.0, 0.0),
        (GIVEN, 2.0, 2.0),
        (FromPlan(), None, 0.0),
        # 0.5 mm, and 2 mm for each of two metres
        (FromPlan(mm=0.5, mm_per_metre=2.0), None, 4.5),
        (FromPlan(mm=0.5, mm_per_metre=2.0), 1.0, 1.0),
    ],
)
def test_a_surveyed_length_is_as_good_as_a_tape_and_one_given_inline_is_exact(
    own_mm: float | None, plus_minus_mm: float, *, known_by: Provenance
) -> None:
    found = given(known_by=known_by, plus_minus_mm=own_mm, stopping_margin_mm=0.0)
    assert found.plus_minus_mm == plus_minus_mm
    assert [one.field for one in found.assumed] == (
        [] if own_mm is not None else ["plus_minus_mm"]
    )


def test_a_finer_tape_leaves_less_in_doubt() -> None:
    # half a millimetre, and half a millimetre a metre, over two metres
    finer = Surveyed(tape_mm=0.5, tape_mm_per_metre=0.5)
    assert given(known_by=finer).plus_minus_mm == 1.5


@pytest.mark.parametrize("source", get_args(Provenance))
def test_every_source_says_how_good_a_length_is_and_what_room_is_left(
    source: type[Given | Surveyed | FromPlan],
) -> None:
    found = given(known_by=source())
    fields = [one.field for one in found.assumed]
    assert fields == ["stopping_margin_mm", "plus_minus_mm"]


def test_why_a_plan_cannot_tell_is_said_only_where_no_length_is_known() -> None:
    source = FromPlan(unknown="Up loop: measure P3")
    unknown = allowance(road(None), known_by=source, stopping_margin_mm=None)
    assert unknown.unknown == "Up loop: measure P3"
    assert given(known_by=source).unknown is None


def test_what_a_plan_says_besides_is_told_with_the_length() -> None:
    told = Assumed(field="usable_length_mm", message="1 mm more", source="default")
    for source in (FromPlan(beside=(told,)), Surveyed(beside=(told,))):
        assert told in given(known_by=source).assumed


def test_the_room_is_what_the_margin_leaves_and_unknown_where_nobody_measured() -> None:
    assert given(known_by=GIVEN, asked_mm=50.0).room_mm == 1950.0
    assert (
        allowance(road(None), known_by=SURVEYED, stopping_margin_mm=None).room_mm
        is None
    )


def test_a_place_is_called_by_its_name_or_by_what_it_is() -> None:
    assert called(road(name="Up loop")) == "Up loop"
    assert called(road(kind="storage_road")) == "the fiddle-yard road"
    assert called(road(kind="headshunt")) == "the headshunt"
