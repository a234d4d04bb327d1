"""What may be on record of a place: three lengths of one road, which nest, and what
there is none of.
"""

from typing import Any

import pytest

from standage.railway.roads.places import Place


def faults(**figures: Any) -> list[tuple[str, str | None]]:
    place = Place(kind="loop", usable_length_mm=2000.0, **figures)
    return [(fault.code, fault.pointer) for fault in place.rules()]


@pytest.mark.parametrize(
    ("field", "mixed_up_mm"),
    [("blades_to_blades_mm", 1999.0), ("stop_to_stop_mm", 2001.0)],
)
def test_the_fouling_points_lie_between_the_blades_and_around_the_stopping_places(
    field: str, mixed_up_mm: float
) -> None:
    assert faults(**{field: mixed_up_mm}) == [("lengths_mixed_up", f"/{field}")]
    assert faults(**{field: 2000.0}) == []


def test_three_lengths_that_nest_are_kept_as_they_are() -> None:
    assert faults(blades_to_blades_mm=2300.0, stop_to_stop_mm=1900.0) == []


@pytest.mark.parametrize(
    ("said", "field"),
    [("no_curves", "minimum_radius_mm"), ("headroom_unlimited", "headroom_mm")],
)
def test_what_there_is_none_of_has_no_figure(said: str, field: str) -> None:
    assert faults(**{said: True, field: 600.0}) == [("contradiction", f"/{field}")]
    assert faults(**{said: True}) == []
