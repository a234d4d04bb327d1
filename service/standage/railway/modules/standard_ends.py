"""What a club's rules find out about one end of a module: how high its rails lie, where
its tracks cross it, what its connector carries.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from standage.railway.modules.boards import EndTrack, ModuleEnd, ModuleFigures
from standage.railway.modules.shortfalls import (
    Missed,
    Shortfall,
    missed,
    unknown,
    wrong,
)
from standage.railway.modules.standard_rules import (
    Connector,
    EndStraight,
    HeightSteps,
    RailHeight,
    Spacing,
    TrackPlace,
)
from standage.railway.terms.figures import exceeds, millimetres, tidy

Found = Iterator[Shortfall]
Look = Callable[[Any, ModuleFigures], Found]
"""What one rule finds out about a module."""


def at_every_end(look: Callable[[Any, ModuleEnd], Found]) -> Look:
    """Return the look at each end of a module in turn; where no end is written down
    nobody can tell. **Source** derived.
    """

    def at_each(rule: Any, module: ModuleFigures) -> Found:
        if not module.ends:
            yield without_ends()
        for end in module.ends:
            yield from look(rule, end)

    return at_each


def without_ends() -> Shortfall:
    """Return that nobody wrote down what a module's ends are like. **Source**
    derived.
    """
    return unknown("ends", "write down what its ends are like")


def height_off(rule: RailHeight, end: ModuleEnd) -> Found:
    """Yield that the rails at ``end`` lie higher or lower than the rule allows, in mm,
    or that nobody measured them. **Source** the club's own rule.
    """
    found_mm = end.rail_height_mm
    if found_mm is None:
        yield _unmeasured_height(end)
        return
    off_mm = found_mm - rule.height_mm
    if not exceeds(abs(off_mm), limit=rule.plus_minus_mm):
        return
    high = "high" if off_mm > 0 else "low"
    message = (
        f"the rails at {end.name} lie {millimetres(found_mm)} above"
        f" the floor, {millimetres(abs(off_mm))} too"
        f" {high}{_allowed(rule.plus_minus_mm)}"
    )
    figures = Missed(
        found_mm,
        rule.height_mm,
        end=end.name,
        allowed_mm=rule.plus_minus_mm,
    )
    yield missed("rail_height_off", message, "rail_height_mm", figures)


def _unmeasured_height(end: ModuleEnd) -> Shortfall:
    message = f"measure from the floor to the top of the rails at {end.name}"
    return unknown("rail_height_mm", message, end=end)


def straight_too_short(rule: EndStraight, end: ModuleEnd) -> Found:
    """Yield that less straight track lies before ``end`` than the rule asks, in mm, or
    that nobody measured it. **Source** the club's own rule.
    """
    straight_mm = end.straight_mm
    if straight_mm is None:
        message = f"measure the straight track before {end.name}"
        yield unknown("straight_mm", message, end=end)
    elif exceeds(rule.straight_mm, limit=straight_mm):
        message = (
            f"{millimetres(straight_mm)} of straight track lie before"
            f" {end.name}; {millimetres(rule.straight_mm)} is the least"
        )
        figures = Missed(straight_mm, rule.straight_mm, end=end.name)
        yield missed("straight_too_short", message, "straight_mm", figures)


def spacing_off(rule: Spacing, end: ModuleEnd) -> Found:
    """Yield each pair of neighbouring tracks at ``end`` that lie nearer or farther
    apart than the rule allows, in mm. **Source** the club's own rule.
    """
    in_order = sorted(end.tracks, key=lambda track: track.offset_mm)
    for left, right in pairwise(in_order):
        apart_mm = tidy(right.offset_mm - left.offset_mm)
        off_mm = apart_mm - rule.spacing_mm
        if not exceeds(abs(off_mm), limit=rule.plus_minus_mm):
            continue
        far = "far" if off_mm > 0 else "near"
        message = (
            f"{left.name} and {right.name} lie {millimetres(apart_mm)} apart at"
            f" {end.name}, {millimetres(abs(off_mm))} too"
            f" {far}{_allowed(rule.plus_minus_mm)}"
        )
        figures = Missed(
            apart_mm,
            rule.spacing_mm,
            end=end.name,
            allowed_mm=rule.plus_minus_mm,
        )
        yield missed("spacing_off", message, "tracks", figures)


def _allowed(plus_minus_mm: float) -> str:
    if not plus_minus_mm:
        return ""
    return f"; {millimetres(plus_minus_mm)} either way is allowed"


def connector_differs(rule: Connector, end: ModuleEnd) -> Found:
    """Yield that the connector at ``end`` is of another sort, or a pin of it carries
    something else; what the rule does not name is free. **Source** the club's own rule.
    """
    connector = end.connector
    if connector is None:
        message = f"say what sort of connector is at {end.name}"
        yield unknown("connector", message, end=end)
    elif _words(connector.type) != _words(rule.type):
        message = (
            f"the connector at {end.name} is of the sort {connector.type}, not"
            f" {rule.type}"
        )
        yield wrong("connector_differs", message, "connector.type", end=end.name)
    elif rule.pins and not connector.pins:
        message = f"write down what each pin at {end.name} carries"
        yield unknown("connector.pins", message, end=end)
    else:
        carried = {pin.key: pin.carries for pin in connector.pins}
        yield from _pins_differ(rule, end, carried)


def _pins_differ(rule: Connector, end: ModuleEnd, carried: Mapping[str, str]) -> Found:
    for pin in rule.pins:
        found = carried.get(pin.key)
        should = f"it should carry {pin.carries}"
        if found is None:
            code = "pin_missing"
            message = f"pin {pin.pin} at {end.name} carries nothing; {should}"
        elif _words(found) != _words(pin.carries):
            code = "pin_differs"
            message = f"pin {pin.pin} at {end.name} carries {found}; {should}"
        else:
            continue
        yield wrong(code, message, "connector.pins", end=end.name)


def _words(text: str) -> str:
    words = text.casefold().split()
    return " ".join(words)


def tracks_off_their_places(rule: TrackPlace, end: ModuleEnd) -> Found:
    """Yield each track at ``end`` that is off its place. **Source** the club's own
    rule.
    """
    return tracks_off_place(rule, end.tracks, end=end.name)


def height_off_its_steps(rule: HeightSteps, end: ModuleEnd) -> Found:
    """Yield that the rails at ``end`` lie between two of the rule's heights, or that
    nobody measured them. **Source** the club's own rule.
    """
    found_mm = end.rail_height_mm
    if found_mm is None:
        yield _unmeasured_height(end)
    else:
        yield from height_between_steps(rule, end=end.name, rail_height_mm=found_mm)


def tracks_off_place(
    rule: TrackPlace, tracks: Iterable[EndTrack], *, end: str
) -> Iterator[Shortfall]:
    """Yield each track at ``end`` that lies in none of the rule's places, and each that
    shares one with another.

    A track is held against the place nearest to it; a place without a track is no
    fault. **Source** the club's own rules.
    """
    taken: dict[float, str] = {}
    in_order = sorted(tracks, key=lambda one: one.offset_mm)
    for track in in_order:
        place_mm = _nearest(rule.offsets_mm, track.offset_mm)
        off_mm = tidy(track.offset_mm - place_mm)
        if exceeds(abs(off_mm), limit=rule.plus_minus_mm):
            yield _off_place(rule, end, track, place_mm=place_mm)
        elif place_mm in taken:
            yield _sharing(end, track, taken[place_mm])
        else:
            taken[place_mm] = track.name


def _nearest(offsets_mm: Sequence[float], offset_mm: float) -> float:
    def how_far(place_mm: float) -> float:
        return abs(place_mm - offset_mm)

    return min(offsets_mm, key=how_far)


def _off_place(
    rule: TrackPlace, end: str, track: EndTrack, *, place_mm: float
) -> Shortfall:
    off_mm = track.offset_mm - place_mm
    side = "right" if off_mm > 0 else "left"
    message = (
        f"{track.name} at {end} lies {millimetres(abs(off_mm))} too far {side} of"
        f" its place; {_places(rule.offsets_mm)}"
    )
    figures = Missed(
        track.offset_mm,
        place_mm,
        end=end,
        allowed_mm=rule.plus_minus_mm,
    )
    return missed("track_off_place", message, "tracks", figures)


def _places(offsets_mm: Sequence[float]) -> str:
    in_order = sorted(offsets_mm)
    # A plus before nought would look like a side.
    told = [f"{offset_mm:+g}" if offset_mm else "0" for offset_mm in in_order]
    return f"tracks lie at {', '.join(told)} mm from the middle"


def _sharing(end: str, track: EndTrack, other: str) -> Shortfall:
    message = (
        f"{track.name} and {other} at {end} both lie in one place, which is for one"
        " track"
    )
    return wrong("track_off_place", message, "tracks", end=end)


def height_between_steps(
    rule: HeightSteps, *, end: str, rail_height_mm: float
) -> Iterator[Shortfall]:
    """Yield that the rails at ``end`` lie at no height that whole steps come to, and
    how far off the nearest is. **Source** the club's own rules.
    """
    steps = round((rail_height_mm - rule.height_mm) / rule.step_mm)
    nearest_mm = tidy(rule.height_mm + steps * rule.step_mm)
    off_mm = tidy(rail_height_mm - nearest_mm)
    if not exceeds(abs(off_mm), limit=rule.plus_minus_mm):
        return
    high = "high" if off_mm > 0 else "low"
    message = (
        f"the rails at {end} lie {millimetres(rail_height_mm)} above the floor,"
        f" {millimetres(abs(off_mm))} too {high} for {millimetres(nearest_mm)}, the"
        f" nearest height in steps of {millimetres(rule.step_mm)}"
    )
    figures = Missed(
        rail_height_mm,
        nearest_mm,
        end=end,
        allowed_mm=rule.plus_minus_mm,
    )
    yield missed("height_between_steps", message, "rail_height_mm", figures)
