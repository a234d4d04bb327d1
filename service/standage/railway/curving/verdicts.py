"""What can be said of stock on a curve, the order in which verdicts count, and a
verdict with its reasons.
"""

from typing import Literal

import msgspec

from standage.railway.terms.reasons import Guess, Reason

CurveVerdict = Literal["runs", "marginal", "does_not_run", "cannot_tell"]
WORST_FIRST: tuple[CurveVerdict, ...] = (
    "does_not_run",
    "cannot_tell",
    "marginal",
    "runs",
)


class Judgement(msgspec.Struct, frozen=True, kw_only=True):
    """A verdict with its reasons and with what had to be assumed for it.

    ``by_length`` tells whether it is only the advice by the ratio of radius to coupled
    length, which gives way to whatever is known better.
    """

    verdict: CurveVerdict
    because: tuple[Reason, ...]
    guesses: tuple[Guess, ...] = ()
    by_length: bool = False


def better(verdict: CurveVerdict, other: CurveVerdict) -> bool:
    """Tell whether a verdict is milder than another. **Source** derived.

    >>> better("marginal", "cannot_tell"), better("runs", "runs")
    (True, False)
    """
    return WORST_FIRST.index(verdict) > WORST_FIRST.index(other)
