"""What to do about an answer, as the tour prints it beneath the reasons."""

import math
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from standage.demo.headlines import millimetres
from standage.demo.telling import counted, paragraph

Answer = Mapping[str, Any]


def advice(answer: Answer) -> Iterator[str]:
    """Yield what would help, one paragraph each."""
    for remedy in _REMEDIES:
        for line in remedy(answer):
            yield paragraph(line, indent="   → ")


def _what_to_leave_off(answer: Answer) -> Iterator[str]:
    instead = answer.get("instead") or {}
    verdict, dropped = answer["verdict"], instead.get("drop")
    if verdict == "does_not_fit" and dropped:
        yield f"Leave off {counted(dropped)}."
    if verdict == "fits" or not instead.get("places"):
        return
    places: list[str] = []
    for one in instead["places"]:
        spare = millimetres(one["spare_mm"])
        places.append(f"{one['name']} ({spare} to spare)")
    yield f"As it is, it fits in {'; '.join(places)}."


def _how_far_apart(answer: Answer) -> Iterator[str]:
    if answer["verdict"] != "clear" and answer.get("spacing_needed_mm"):
        spacing_mm = (
            math.ceil(answer["spacing_needed_mm"] * 10) / 10
        )  # to nearest, it could fall short
        yield (
            f"Lay the tracks {millimetres(spacing_mm)} apart there, and all of them"
            " keep the margin."
        )


def _what_cures_the_couplings(answer: Answer) -> Iterator[str]:
    if answer["verdict"] == "runs" or not answer.get("couplings"):
        return
    straight_mm, radius_mm = (
        answer.get("least_straight_mm"),
        answer.get("least_radius_mm"),
    )
    cures = []
    if straight_mm and answer["least_straight_by"] == "swept_joint":
        cures.append(
            f"{millimetres(straight_mm)} of straight track between the two curves"
        )
    if radius_mm:
        cures.append(f"both curves of {millimetres(radius_mm)}")
    if cures:
        yield f"Lay {', or '.join(cures)}."


def _how_it_is_made_up(answer: Answer) -> Iterator[str]:
    if "from_pool" not in answer or not answer["vehicles"]:
        return
    names: list[str] = []
    for one in answer["vehicles"]:
        names += [one["name"]] * one["count"]
    yield f"Make it up of {counted(names)}."


_REMEDIES: tuple[Callable[[Answer], Iterator[str]], ...] = (
    _what_to_leave_off,
    _how_far_apart,
    _what_cures_the_couplings,
    _how_it_is_made_up,
)
