"""The rule by which a length is held against the room there is for it, and how its
outcome is said.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Literal, NamedTuple

import msgspec

from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.stock.extents import Extent, lacking, to_name
from standage.railway.terms.figures import (
    exceeds,
    left_for_stopping,
    millimetres,
    spare_beside_doubt,
    tidy,
)
from standage.railway.terms.reasons import Reason, named_once, worst

FitVerdict = Literal["does_not_fit", "cannot_tell", "tight", "fits"]
WORST_FIRST: tuple[FitVerdict, ...] = ("does_not_fit", "cannot_tell", "tight", "fits")
_THE_TRAIN = "the train"


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that was found out, and what it makes of the verdict; a mere note makes
    ``fits`` of it.
    """

    verdict: FitVerdict
    reason: Reason


class Wording(msgspec.Struct, frozen=True, kw_only=True):
    """How a comparison is spoken of: what is held against what, and the code of each
    outcome.

    ``margin_mm`` is what the room was shortened by for stopping.
    """

    subject: str
    place: str
    stands: str = "stands clear"
    where: str = "in"
    fits_code: str = "stands_clear"
    too_long_code: str = "too_long"
    margin_mm: float = 0.0


class Held(NamedTuple):
    """A length held against the room for it, without words; spare and ± are None where
    either is not known.
    """

    verdict: FitVerdict
    spare_mm: float | None
    plus_minus_mm: float | None


class Fit(msgspec.Struct, frozen=True, kw_only=True):
    """A length against the room for it; spare and ± are None where either is not
    known.
    """

    verdict: FitVerdict
    spare_mm: float | None
    plus_minus_mm: float | None
    because: tuple[Reason, ...]

    def findings(self) -> Iterator[Finding]:
        """Yield each reason with this verdict."""
        for reason in self.because:
            yield Finding(
                verdict=self.verdict,
                reason=reason,
            )


def by_spare(spare_mm: float, *, plus_minus_mm: float) -> FitVerdict:
    """Return ``fits`` where the spare covers the ±, ``does_not_fit`` where it falls
    short by more, else ``tight``. Both in mm. **Source** derived.

    >>> by_spare(5, plus_minus_mm=5), by_spare(-5, plus_minus_mm=5), by_spare(-5.1, plus_minus_mm=5)
    ('fits', 'tight', 'does_not_fit')
    """
    if not exceeds(plus_minus_mm, limit=spare_mm):
        return "fits"
    return "does_not_fit" if exceeds(-plus_minus_mm, limit=spare_mm) else "tight"


def fit(
    extent: Extent, *, room_mm: float, room_plus_minus_mm: float, wording: Wording
) -> Fit:
    """Return how ``extent`` goes into ``room_mm``.

    With a figure missing it is ``does_not_fit`` where what is known is too long by
    itself, else ``cannot_tell``. With couplings that nobody has named see
    ``at_both_ends``. Lengths in mm, the ± of both added up. **Source** derived.
    """
    if extent.missing:
        return _as_far_as_known(
            extent,
            room_mm=room_mm,
            room_plus_minus_mm=room_plus_minus_mm,
            wording=wording,
        )
    spare_mm, plus_minus_mm = _left(
        extent, room_mm=room_mm, room_plus_minus_mm=room_plus_minus_mm
    )
    verdict = at_both_ends(
        extent, room_mm=room_mm, room_plus_minus_mm=room_plus_minus_mm
    )
    if verdict == "cannot_tell":
        because = _by_the_coupling(extent, room_mm=room_mm, wording=wording)
    else:
        because = (_said(verdict, spare_mm, plus_minus_mm, wording=wording),)
    return Fit(
        verdict=verdict, spare_mm=spare_mm, plus_minus_mm=plus_minus_mm, because=because
    )


class Ends(NamedTuple):
    """A length as it is held against many rooms: with the shortest and with the longest
    couplings that may be meant, each with its ±, or once where that is all the same.
    """

    extent: Extent
    each_mm: tuple[tuple[float, float], ...]


def ends_of(extent: Extent) -> Ends:
    """Return the ends of a length; of one with a figure missing the least. **Source**
    derived.
    """
    both = [extent]
    if extent.missing:
        both = [extent.shortest()]
    elif extent.unsaid:
        both = [extent.shortest(), extent.longest()]
    each_mm = [(one.known_mm, one.plus_minus_mm) for one in both]
    return Ends(extent, tuple(each_mm))


def held(ends: Ends, *, room_mm: float, room_plus_minus_mm: float) -> Held:
    """Return what ``fit`` makes of a length in ``room_mm``, without its reasons: of
    many pairs they are not wanted. Lengths in mm. **Source** derived.
    """
    extent = ends.extent
    verdict = verdict_in(ends, room_mm=room_mm, room_plus_minus_mm=room_plus_minus_mm)
    if extent.missing:
        return Held(verdict, None, None)
    spare_mm, plus_minus_mm = _left(
        extent, room_mm=room_mm, room_plus_minus_mm=room_plus_minus_mm
    )
    return Held(verdict, spare_mm, plus_minus_mm)


def verdict_in(ends: Ends, *, room_mm: float, room_plus_minus_mm: float) -> FitVerdict:
    """Return the verdict of ``held`` alone. Lengths in mm. **Source** derived."""
    verdict = _at_ends(ends.each_mm, room_mm, room_plus_minus_mm)
    return _by_the_least(verdict) if ends.extent.missing else verdict


def _left(
    extent: Extent, *, room_mm: float, room_plus_minus_mm: float
) -> tuple[float, float]:
    """Return what is left of the room, and how far off that may be."""
    spare_mm = tidy(room_mm - extent.known_mm)
    plus_minus_mm = tidy(extent.plus_minus_mm + room_plus_minus_mm)
    return spare_mm, plus_minus_mm


def _by_the_least(verdict: FitVerdict) -> FitVerdict:
    """Return what the verdict on the least of a length says of all of it."""
    return "does_not_fit" if verdict == "does_not_fit" else "cannot_tell"


def at_both_ends(
    extent: Extent, *, room_mm: float, room_plus_minus_mm: float
) -> FitVerdict:
    """Return the verdict on a length by the shortest and by the longest couplings that
    may be meant.

    Where both are alike, that one; where one fits and the other does not,
    ``cannot_tell``; else the worse. Lengths in mm. **Source** derived.
    """
    ends = [extent]
    if extent.unsaid:
        ends = [extent.shortest(), extent.longest()]
    each_mm = [(end.known_mm, end.plus_minus_mm) for end in ends]
    return _at_ends(each_mm, room_mm, room_plus_minus_mm)


def _at_ends(
    each_mm: Sequence[tuple[float, float]], room_mm: float, room_plus_minus_mm: float
) -> FitVerdict:
    verdicts = [
        by_spare(room_mm - known_mm, plus_minus_mm=off_mm + room_plus_minus_mm)
        for known_mm, off_mm in each_mm
    ]
    if len(verdicts) == 1:
        return verdicts[0]
    if "fits" in verdicts and "does_not_fit" in verdicts:
        return "cannot_tell"
    return worst(verdicts, order=WORST_FIRST)


def _as_far_as_known(
    extent: Extent, *, room_mm: float, room_plus_minus_mm: float, wording: Wording
) -> Fit:
    spare_mm, plus_minus_mm = _left(
        extent.shortest(), room_mm=room_mm, room_plus_minus_mm=room_plus_minus_mm
    )
    by_the_least = by_spare(spare_mm, plus_minus_mm=plus_minus_mm)
    verdict = _by_the_least(by_the_least)
    because: tuple[Reason, ...] = lacking(extent.missing)
    if verdict == "does_not_fit":
        because = (_too_long_for_certain(spare_mm, plus_minus_mm, wording=wording),)
    return Fit(verdict=verdict, spare_mm=None, plus_minus_mm=None, because=because)


def overall(findings: Iterable[Finding]) -> FitVerdict:
    """Return the worst verdict of all. **Source** derived."""
    verdicts = [finding.verdict for finding in findings]
    return worst(verdicts, order=WORST_FIRST)


def verdict_of_both(standing: FitVerdict, reaching: CurveVerdict) -> FitVerdict:
    """Return what ``standing`` in a place and ``reaching`` it come to: a certain no of
    either decides.

    Short of that the verdict is that of standing: neither what nobody knows of the way
    there nor what is marginal on it hides that the train stands. Were ``marginal`` to
    count and ``cannot_tell`` not, a figure that leaves a vehicle to be tried would make
    the answer milder. **Source** derived.

    >>> verdict_of_both("fits", "cannot_tell"), verdict_of_both("fits", "does_not_run")
    ('fits', 'does_not_fit')
    """
    if reaching == "does_not_run":
        return "does_not_fit"
    return standing


def sorted_reasons(findings: Iterable[Finding]) -> tuple[Reason, ...]:
    """Return the reasons, worst first, each once; of one verdict in the order in which
    they were found. **Source** derived.
    """
    ordered = sorted(findings, key=lambda finding: WORST_FIRST.index(finding.verdict))
    return named_once(finding.reason for finding in ordered)


def of_vehicle(finding: Finding, name: str) -> Finding:
    """Return what was found of a train that is one vehicle by itself, said of the
    vehicle by its name. **Source** plain English.
    """
    message = finding.reason.message
    if not message.startswith(_THE_TRAIN):
        return finding
    said = msgspec.structs.replace(
        finding.reason, vehicle=name, message=name + message.removeprefix(_THE_TRAIN)
    )
    return msgspec.structs.replace(finding, reason=said)


def _said(
    verdict: FitVerdict, spare_mm: float, plus_minus_mm: float, *, wording: Wording
) -> Reason:
    held, off = spare_beside_doubt(spare_mm, plus_minus_mm=plus_minus_mm)
    stopping = left_for_stopping(wording.margin_mm)
    subject, where, place = wording.subject, wording.where, wording.place
    if verdict == "fits":
        code = wording.fits_code
        beside = left_for_stopping(wording.margin_mm, joined="and")
        spare = f"{held} to spare{off}{beside}"
        message = f"{subject} {wording.stands} {where} {place} with {spare}"
    elif verdict == "does_not_fit":
        code = wording.too_long_code
        message = f"{subject} is {held} too long for {place}{off}{stopping}"
    else:
        code = "too_close_to_call"
        side = "to spare" if spare_mm >= 0 else "too little"
        room = f"{held} {side} {where} {place}"
        message = f"{subject} has {room}{off}{stopping}: too close to call"
    return Reason(
        code=code,
        message=message,
        place=place,
        amount_mm=abs(spare_mm),
    )


def _by_the_coupling(
    extent: Extent, *, room_mm: float, wording: Wording
) -> tuple[Reason, ...]:
    """Return what the couplings that nobody has named decide, and which they are."""
    spare_mm = tidy(room_mm - extent.shortest().known_mm)
    short_mm = tidy(extent.longest().known_mm - room_mm)
    message = (
        f"{wording.subject} has {millimetres(spare_mm)} to spare {wording.where}"
        f" {wording.place} with the shortest couplings it may have, and is"
        f" {millimetres(short_mm)} too long with the longest"
    )
    decides = Reason(
        code="depends_on_couplings",
        message=message,
        place=wording.place,
        amount_mm=short_mm,
    )
    return (decides, *to_name(extent.unsaid))


def _too_long_for_certain(
    spare_mm: float, plus_minus_mm: float, *, wording: Wording
) -> Reason:
    least_mm = tidy(-spare_mm - plus_minus_mm)
    message = (
        f"{wording.subject} is at least {millimetres(least_mm)} too long for"
        f" {wording.place}{left_for_stopping(wording.margin_mm)}, counting only what is"
        " known"
    )
    return Reason(
        code=wording.too_long_code,
        message=message,
        place=wording.place,
        amount_mm=least_mm,
    )
