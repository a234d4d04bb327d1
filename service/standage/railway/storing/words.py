"""How it is said which trains stand and which are left over."""

from collections.abc import Sequence

from standage.railway.terms.figures import (
    agreeing,
    counted,
    listed,
    millimetres,
    search_stopped,
)
from standage.railway.terms.reasons import Reason


def all_stand(trains: int, used: Sequence[str]) -> Reason:
    """Return that all ``trains`` stand at once; ``used`` names each road that any
    stands in once. **Source** plain English.
    """
    message = f"all {trains} trains stand at once, in {counted(len(used), 'road')}"
    if trains == 1:
        message = f"the one train stands in {listed(used)}"
    return Reason(
        code="all_stand",
        message=message,
    )


def left_over(names: Sequence[str], *, trains: int) -> Reason:
    """Return which of so many trains are left over. **Source** plain English."""
    are = agreeing(len(names), "is", "are")
    message = (
        f"{len(names)} of {counted(trains, 'train')} {are} left over: {listed(names)}"
    )
    return Reason(
        code="left_over",
        message=message,
    )


def no_room_left(
    name: str, length_mm: float, suits: Sequence[str], *, roads: int, keep_empty: int
) -> Reason:
    """Return what takes the room from a train that would stand in the roads that it
    ``suits``. The length is that of the train pulled out, in mm. **Source** plain
    English.
    """
    others = "" if keep_empty >= roads else " beside the others"
    empty = ""
    if keep_empty:
        are = agreeing(keep_empty, "is", "are")
        empty = f" while {counted(keep_empty, 'road')} {are} kept empty"
    message = (
        f"{name}, {millimetres(length_mm)} long, finds no room{others}{empty}; it would"
        f" stand in {listed(suits)}"
    )
    return Reason(code="no_room_left", message=message, value_mm=length_mm)


def no_road_for_trains(name: str) -> Reason:
    """Return that there is no road in which any train is put away. **Source** plain
    English.
    """
    message = (
        f"{name} has no road to stand in: trains are not put away on turntables or in"
        " reversing sections"
    )
    return Reason(code="no_road_for_trains", message=message)


def budget_spent(steps: int, at_least: int) -> Reason:
    """Return the reason why fewer may be left over. **Source** plain English."""
    message = (
        f"{search_stopped(steps)}: at least {at_least} must be left over, perhaps fewer"
        " than these"
    )
    return Reason(code="budget_spent", message=message)
