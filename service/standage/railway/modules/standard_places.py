"""What a club's rules find out about where the tracks lie at a module's end, and how
high they lie.
"""

from collections.abc import Iterable, Iterator, Sequence

from standage.railway.modules.boards import EndTrack
from standage.railway.modules.shortfalls import Shortfall
from standage.railway.modules.standard_rules import HeightSteps, TrackPlace
from standage.railway.terms.comparison import exceeds
from standage.railway.terms.figures import tidy
from standage.railway.terms.phrases import millimetres


def tracks_off_place(
    rule: TrackPlace, tracks: Iterable[EndTrack], *, end: str
) -> Iterator[Shortfall]:
    """Yield each track at ``end`` that lies in none of the rule's places, and each that
    shares one with another.

    A track is held against the place nearest to it; a place without a track is no
    fault.
    """
    taken: dict[float, str] = {}
    for track in sorted(tracks, key=lambda one: one.offset_mm):
        place_mm = _nearest(rule.offsets_mm, track.offset_mm)
        off_mm = tidy(track.offset_mm - place_mm)
        if exceeds(abs(off_mm), limit=rule.plus_minus_mm):
            yield _off_place(rule, end, track, place_mm=place_mm)
        elif place_mm in taken:
            yield _sharing(end, track, taken[place_mm])
        else:
            taken[place_mm] = track.name


def _nearest(offsets_mm: Sequence[float], offset_mm: float) -> float:
    return min(offsets_mm, key=lambda one: abs(one - offset_mm))


def _off_place(
    rule: TrackPlace, end: str, track: EndTrack, *, place_mm: float
) -> Shortfall:
    off_mm = track.offset_mm - place_mm
    side = "right" if off_mm > 0 else "left"
    places = _places(rule.offsets_mm)
    return Shortfall(
        verdict="fails",
        code="track_off_place",
        message=(
            f"{track.name} at {end} lies {millimetres(abs(off_mm))} too far {side} of"
            f" its place; {places}"
        ),
        field="tracks",
        end=end,
        value_mm=track.offset_mm,
        limit_mm=place_mm,
        amount_mm=tidy(abs(off_mm) - rule.plus_minus_mm),
    )


def _places(offsets_mm: Sequence[float]) -> str:
    told = ", ".join(
        f"{offset_mm:+g}" if offset_mm else "0" for offset_mm in sorted(offsets_mm)
    )
    return f"tracks lie at {told} mm from the middle"


def _sharing(end: str, track: EndTrack, other: str) -> Shortfall:
    message = (
        f"{track.name} and {other} at {end} both lie in one place, which is for one"
        " track"
    )
    return Shortfall(
        verdict="fails",
        code="track_off_place",
        message=message,
        field="tracks",
        end=end,
    )


def height_between_steps(
    rule: HeightSteps, *, end: str, rail_height_mm: float
) -> Iterator[Shortfall]:
    """Yield that the rails at ``end`` lie at no height that whole steps come to, and
    how far off the nearest is.
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
    yield Shortfall(
        verdict="fails",
        code="height_between_steps",
        message=message,
        field="rail_height_mm",
        end=end,
        value_mm=rail_height_mm,
        limit_mm=nearest_mm,
        amount_mm=tidy(abs(off_mm) - rule.plus_minus_mm),
    )
