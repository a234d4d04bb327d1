"""Climbs that are asked about: the example, and rows of track from end to end."""

from copy import deepcopy
from typing import Any

from standage.questions import climb
from standage.questions.climb import ClimbRequest, gather, reckon
from standage.questions.climb_answer import ClimbAnswer
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from support.climbing import Row

Json = dict[str, Any]
EXAMPLE: Json = {**climb.EXAMPLE}


def asked(body: Json) -> ClimbAnswer:
    request = convert(deepcopy(body), ClimbRequest)
    return reckon(gather(Sources(None, ""), request))


def over(one: Row, train_mm: float, *, ends: str = "ab", **more: Any) -> ClimbAnswer:
    """Return the answer for a train over a whole row, from one end to the other."""
    length_mm = one.length_mm
    first, last = (_place(one, "First", 0), _place(one, "Last", length_mm))
    route = ["First", "Last"] if ends == "ab" else ["Last", "First"]
    plan = {**one.plan, "places": [first, last]}
    body = {"plan": plan, "train": {"length_mm": train_mm}, "route": route}
    return asked({**body, **more})


def _place(one: Row, name: str, at_mm: int) -> Json:
    """Return the last piece at an end of a row as a place that somebody measured."""
    names = list(one.starts_mm)
    piece = names[-1] if at_mm else names[0]
    own_mm = one.own_mm[piece]
    from_mm, to_mm = (own_mm, 0) if piece in one.turned else (0, own_mm)
    stretch = {"piece": piece, "from_mm": from_mm, "to_mm": to_mm}
    return {"name": name, "stretch": [stretch]}
