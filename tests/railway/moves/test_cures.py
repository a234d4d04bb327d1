"""What limits a move, and what cures it, against plans that are laid anew."""

from copy import deepcopy
from random import Random
from typing import Any

import pytest

from railway.moves.test_search import PUSHES, laid, random_plan, stand
from standage.railway.moves.cures import cures, limited_by, with_more
from standage.railway.moves.ground import ground
from standage.railway.moves.longest import longest_mm
from standage.railway.moves.search import Wanted, searched
from standage.railway.track.survey.survey import Survey
from support.pushed_trains import CELL_MM


def within_its_legs(document: dict[str, Any]) -> dict[str, Any]:
    """Return a plan whose fouling points lie on the legs themselves, so that what is
    beyond may be longer without moving them.
    """
    for piece in document["pieces"].values():
        for leg in ("through", "branch"):
            if f"fouling_{leg}_mm" in piece:
                own_mm = piece[f"{leg}_mm"]
                piece[f"fouling_{leg}_mm"] = min(piece[f"fouling_{leg}_mm"], own_mm)
        if piece["kind"] == "diamond":
            piece["fouling_a_mm"] = min(piece["fouling_a_mm"], *piece["a_mm"])
            piece["fouling_b_mm"] = min(piece["fouling_b_mm"], *piece["b_mm"])
        if "slip" in piece["kind"]:
            piece["fouling_mm"] = min(piece["fouling_mm"], piece["arm_mm"])
    return document


def longer(document: dict[str, Any], piece: str, by_mm: float) -> dict[str, Any]:
    changed = deepcopy(document)
    changed["pieces"][piece]["length_mm"] += by_mm
    return changed


def asked_of(found: Survey, numbers: tuple[int, int], train_mm: float) -> Wanted:
    places = [stand(one) for one in found.usable if len(one.limits) == 2]
    start, goal = (places[number % len(places)] for number in numbers)
    return Wanted(start=start, engine_towards=1, train_mm=train_mm, goal=goal)


@pytest.mark.parametrize("seed", range(PUSHES // 5))
def test_what_limits_and_cures_does_so_in_a_plan_that_is_laid_anew(seed: int) -> None:
    random = Random(80_000 + seed)
    document = within_its_legs(random_plan(random))
    found = laid(document)
    if not any(len(one.limits) == 2 for one in found.usable):
        return
    numbers = (random.randrange(20), random.randrange(20))
    wanted = asked_of(found, numbers, 0.0)
    on = ground(found.network, found.points)
    tracks = {
        found.network.first_of[name]: name
        for name, piece in document["pieces"].items()
        if piece["kind"] == "track"
    }
    now_mm = longest_mm(on, wanted)
    limits = limited_by(on, wanted, list(tracks))
    for strand, name in tracks.items():
        anew = laid(longer(document, name, CELL_MM))
        further_mm = longest_mm(
            ground(anew.network, anew.points), asked_of(anew, numbers, 0.0)
        )
        assert (strand in limits) == (0 < now_mm < further_mm), name
    train_mm = now_mm + random.choice([0.5, 7.0, 13.0])
    wanted = asked_of(found, numbers, train_mm)
    for strand, by_mm in cures(on, wanted, list(tracks)):
        for much_mm, is_enough in ((by_mm, True), (by_mm - 1, False)):
            anew = laid(longer(document, tracks[strand], much_mm))
            again = searched(
                ground(anew.network, anew.points), asked_of(anew, numbers, train_mm)
            )
            assert bool(again.finishes) is is_enough
        ground_again, wanted_again = with_more(on, wanted, strand, by_mm=by_mm)
        assert searched(ground_again, wanted_again).finishes
