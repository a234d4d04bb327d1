"""What helps a train that does not stand in a place: what to leave off it, and other
places that hold it.
"""

from standage.railway.roads.allowances import (
    Allowance,
    Provenance,
    allowance,
    platform_face_mm,
)
from standage.railway.roads.places import Place
from standage.railway.standing.dropping import (
    Dropped,
    fewest_by_length,
    fewest_by_trial,
)
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import suited
from standage.railway.stock.coupled import Coupled
from standage.railway.stock.makeup import Places
from standage.railway.stock.trains import Train


def to_leave_off(
    train: Coupled,
    place: Place,
    given: Allowance,
    *,
    room_mm: float | None,
    unfit: Places,
) -> Dropped:
    """Return the fewest vehicles to leave off so that the rest of ``train`` fits
    ``place``.

    ``unfit`` are those that do not get there for certain; ``room_mm`` is the room for
    the length that counts there. In mm. **Source** derived.
    """
    if room_mm is None:
        return Dropped(places=None, proved=False)

    def spare_mm(rest: Coupled) -> float | None:
        stood = stand(rest, place, given)
        if stood.verdict == "fits":
            return stood.fit.spare_mm
        return None

    if place.kind in {"turntable", "reversing_section"}:
        return fewest_by_trial(train, spare_mm=spare_mm, unfit=unfit)
    found = fewest_by_length(
        train, within_mm=room_mm - given.plus_minus_mm, unfit=unfit
    )
    face_counts = platform_face_mm(place) is not None
    if (
        found.places is None
        or not face_counts
        or spare_mm(train.without(found.places)) is not None
    ):
        return found
    return fewest_by_trial(
        train, spare_mm=spare_mm, unfit=unfit, at_least=len(found.places)
    )


def spare_there(
    train: Train,
    made_up: Coupled,
    place: Place,
    *,
    known_by: Provenance,
    stopping_margin_mm: float | None,
) -> float | None:
    """Return what ``train``, coupled up as ``made_up``, leaves in ``place``; None where
    it does not fit there.

    It fits where it stands for certain and no vehicle is known not to get there. In mm.
    **Source** derived.
    """
    stood = stand(
        made_up,
        place,
        allowance(place, known_by=known_by, stopping_margin_mm=stopping_margin_mm),
    )
    if stood.verdict != "fits":
        return None
    if any(
        suited(vehicle, place, types=made_up.types).barred for vehicle in train.vehicles
    ):
        return None
    return stood.fit.spare_mm
