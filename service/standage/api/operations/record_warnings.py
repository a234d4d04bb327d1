"""The likely slips in what a record holds, and names that look alike: they come back
with it and change nothing.
"""

from typing import Any

from standage.railway.slips.case import likely_slips, remarks_on
from standage.railway.slips.slip import Slip
from standage.railway.terms.reasons import Assumed
from standage.registry.records.kinds import (
    LAYOUTS,
    MODULES,
    PLACES,
    RAKES,
    STANDARDS,
    TRAINS,
    VEHICLES,
    YARDS,
    Kind,
)

_WITH_FIGURES = frozenset(
    kind.name
    for kind in (VEHICLES, RAKES, TRAINS, MODULES, STANDARDS, LAYOUTS, PLACES, YARDS)
)


def can_be_warned_of(kind: Kind[Any]) -> bool:
    """Tell whether records of that kind hold figures in which slips are looked for."""
    return kind.name in _WITH_FIGURES


REMARKS = "assumed"
"""The field of an answer that says how words which mean two things are taken."""


LOOK_ALIKES = "look_alikes"
"""The field of the answer to a write that names other records whose names look like
this one's.
"""


def remarks_in(kind: Kind[Any]) -> frozenset[str]:
    """Return the fields of an answer that are only said beside the record: what comes
    back of them is ignored.
    """
    of_words = {REMARKS} if can_be_warned_of(kind) else set()
    of_names = {LOOK_ALIKES} if kind.told_apart_by_name else set()
    return frozenset(of_words | of_names)


def words_taken(kind: Kind[Any], body: Any) -> tuple[Assumed, ...]:
    """Return how words in a body are taken that mean two things; none where practice
    leaves no doubt.
    """
    return remarks_on(body).words if can_be_warned_of(kind) else ()


def warnings_of(kind: Kind[Any], body: Any) -> tuple[Slip, ...]:
    """Return the likely slips in a body; none for kinds without such figures."""
    return likely_slips(body) if can_be_warned_of(kind) else ()
