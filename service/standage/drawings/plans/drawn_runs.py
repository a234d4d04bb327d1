"""A move as it is drawn: its runs, each with where the train stands before and after."""

import msgspec

from standage.railway.track.network.network import Course


class DrawnRun(msgspec.Struct, frozen=True, kw_only=True):
    """A run: the way it takes, and where the train's lead is on it.

    The lead goes from ``from_mm`` to ``to_mm``, counted from the start of the first
    course. ``leaves`` where it runs out of the plan; ``spare_mm`` is how much farther it
    could have gone, None where nothing stops it.
    """

    message: str
    courses: tuple[Course, ...]
    from_mm: float
    to_mm: float
    engine_leads: bool
    leaves: bool = False
    spare_mm: float | None = None


class DrawnMove(msgspec.Struct, frozen=True, kw_only=True):
    """A train's move: what it is called, its runs, and what there is to say of it.

    Without runs nothing is known of a way, and ``notes`` say why.
    """

    title: str
    train_mm: float
    runs: tuple[DrawnRun, ...]
    notes: tuple[str, ...] = ()
