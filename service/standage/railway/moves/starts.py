"""Where in its place a train sets out from, and whether it may stand there at all."""

from collections.abc import Iterator, Mapping, Sequence

from standage.railway.moves.goals import Goal
from standage.railway.moves.ground import Ground
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.standing import Lying, Stand, lying
from standage.railway.track.network.network import Course


def leads_mm(
    ground: Ground,
    stand: Stand,
    goals: Mapping[Course, Sequence[Goal]],
    *,
    train_mm: float,
) -> Iterator[float]:
    """Yield where the lead of a train stands that sets out towards the last end of its
    place, from the start of the place's first course.

    As far as it goes; before blades in the place over which it may leave; where it
    comes clear of itself; and where it stands in a goal already. Whatever it does from
    elsewhere it does from one of these. **Source** derived.
    """
    each_mm = [stand.to_mm, *_before_ways_out_mm(ground, stand, train_mm)]
    each_mm += _in_goals_mm(
        ground,
        stand,
        goals,
        train_mm,
    )
    yield from where_it_may_stand(ground, stand, each_mm, train_mm=train_mm)


def _before_ways_out_mm(
    ground: Ground, stand: Stand, train_mm: float
) -> Iterator[float]:
    bases_mm = lying(ground, stand.courses, rear_mm=0.0).bases_mm
    is_foul = is_foul_of_itself(
        ground, Lying(stand.courses, bases_mm, stand.from_mm), train_mm=stand.length_mm
    )
    for course, base_mm in zip(stand.courses, bases_mm, strict=True):
        if len(ground.onwards(course)) > 1:
            yield base_mm + ground.length_mm(course)
        if is_foul:
            for zone in ground.zones.get(course, ()):
                yield base_mm + zone.from_mm
                yield base_mm + zone.to_mm + train_mm


def _in_goals_mm(
    ground: Ground,
    stand: Stand,
    goals: Mapping[Course, Sequence[Goal]],
    train_mm: float,
) -> Iterator[float]:
    whole = lying(ground, stand.courses, rear_mm=stand.from_mm)
    for number, course in enumerate(stand.courses, start=1):
        bases_mm = whole.bases_mm[:number]
        under = Lying(stand.courses[:number], bases_mm, stand.from_mm)
        for goal in goals.get(course, ()):
            from_mm, _ = goal.within(ground, under)
            rear_mm = max(from_mm, stand.from_mm)
            yield max(bases_mm[-1], rear_mm + train_mm)


def where_it_may_stand(
    ground: Ground, stand: Stand, leads_mm: Sequence[float], *, train_mm: float
) -> Iterator[float]:
    """Yield those of some places of a train's lead where all of it is in its place and
    not foul of itself, each once. **Source** the rules of moves.
    """
    least_mm = stand.from_mm + train_mm
    told_mm: list[float] = []
    for lead_mm in sorted(leads_mm):
        is_within = least_mm - TOUCHING_MM <= lead_mm <= stand.to_mm + TOUCHING_MM
        is_another = not told_mm or lead_mm > told_mm[-1] + TOUCHING_MM
        if not (is_within and is_another):
            continue
        train = lying(ground, stand.courses, rear_mm=lead_mm - train_mm)
        if not is_foul_of_itself(ground, train, train_mm=train_mm):
            told_mm.append(lead_mm)
            yield lead_mm


def is_foul_of_itself(ground: Ground, train: Lying, *, train_mm: float) -> bool:
    """Tell whether a train lies in two zones that exclude each other. **Source** the
    rules of moves.
    """
    lead_mm = train.rear_mm + train_mm
    met: set[tuple[int, int]] = set()
    for course, base_mm in zip(train.courses, train.bases_mm, strict=True):
        for zone in ground.zones.get(course, ()):
            begins_mm = max(train.rear_mm, base_mm + zone.from_mm)
            ends_mm = min(lead_mm, base_mm + zone.to_mm)
            if ends_mm - begins_mm > TOUCHING_MM:
                met.add((zone.rivalry, zone.side))
    return any((rivalry, 1 - side) in met for rivalry, side in met)


def cut_to(
    ground: Ground, courses: tuple[Course, ...], rear_mm: float, lead_mm: float
) -> Lying:
    """Return a train on those of a place's courses that lie under it. **Source**
    derived.
    """
    whole = lying(ground, courses, rear_mm=rear_mm)
    train_mm = lead_mm - rear_mm
    back = whole.reversed_at(ground, rear_mm, train_mm=train_mm)
    return back.reversed_at(ground, back.rear_mm, train_mm=train_mm)
