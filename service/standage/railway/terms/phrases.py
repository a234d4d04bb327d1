"""How figures and lists of names are put into words."""

from collections.abc import Sequence

from standage.railway.terms.figures import tidy, tidy_down, tidy_up

MOST_NAMED = 6
"""So many vehicles are named one by one in a sentence."""
_FINEST_PLACES = 6


def millimetres(value_mm: float) -> str:
    """Return a length in words, to a tenth of a millimetre; what is less than that, yet
    something, is said to be.

    >>> millimetres(1234.04), millimetres(0.1 + 0.2 - 0.3), millimetres(0.04)
    ('1234 mm', '0 mm', 'less than 0.1 mm')
    """
    if tidy(value_mm) != 0 and round(value_mm, 1) == 0:
        return "less than 0.1 mm"
    shown = f"{round(value_mm, 1) + 0.0:.1f}".removesuffix(".0")
    return f"{shown} mm"


def at_most(value_mm: float) -> str:
    """Return a length that is not to be exceeded in words, to a tenth of a millimetre
    and never more than it is.

    >>> at_most(997.75), at_most(3 * 60.2), at_most(0.04)
    ('997.7 mm', '180.6 mm', '0 mm')
    """
    return millimetres(tidy_down(value_mm, step=0.1))


def at_least(value_mm: float) -> str:
    """Return a length that is needed in words, to a tenth of a millimetre and never
    less than it is.

    >>> at_least(997.71), at_least(3 * 60.2)
    ('997.8 mm', '180.6 mm')
    """
    return millimetres(tidy_up(value_mm, step=0.1))


def beside(value: float, *, limit: float, places: int = 1) -> str:
    """Return a figure to so many places, or to as many as it takes to tell it from the
    limit it is held against.

    What is printed then lies on the same side of the limit as what is judged.

    >>> beside(25.04, limit=25.0), beside(25.0, limit=25.0), beside(31.06, limit=25.0)
    ('25.04', '25', '31.1')
    """
    shown = f"{value:.{places}f}"
    while (
        places < _FINEST_PLACES
        and tidy(value) != tidy(limit)
        and not _same_side(value, float(shown), limit)
    ):
        places += 1
        shown = f"{value:.{places}f}"
    return shown.rstrip("0").removesuffix(".") if "." in shown else shown


def _same_side(value: float, shown: float, limit: float) -> bool:
    return shown != limit and (shown > limit) == (value > limit)


def give_or_take(plus_minus_mm: float) -> str:
    """Return the words that follow a figure that is off by as much either way, never
    less; none where it is not off.

    >>> give_or_take(6.0), give_or_take(8.45), give_or_take(0.0)
    (', give or take 6 mm', ', give or take 8.5 mm', '')
    """
    return f", give or take {at_least(plus_minus_mm)}" if plus_minus_mm > 0 else ""


def spare_beside_doubt(spare_mm: float, *, plus_minus_mm: float) -> tuple[str, str]:
    """Return what is to spare, or too little, and its ± as it follows it, to as many
    places as tell them apart.

    A reader who holds one printed figure against the other then comes to what they make
    of each other.

    >>> spare_beside_doubt(8.42, plus_minus_mm=8.45), spare_beside_doubt(-8.46, plus_minus_mm=8.45)
    (('8.4 mm', ', give or take 8.5 mm'), ('8.46 mm', ', give or take 8.45 mm'))
    """
    amount_mm = abs(spare_mm)
    places = 1
    printed = _printed(spare_mm, plus_minus_mm, places=places)
    while places < _FINEST_PLACES and _made_of(*printed) != _made_of(
        spare_mm, plus_minus_mm
    ):
        places += 1
        printed = _printed(spare_mm, plus_minus_mm, places=places)
    if places == 1 or plus_minus_mm <= 0:
        return millimetres(amount_mm), give_or_take(plus_minus_mm)
    shown, off = (
        f"{abs(figure):.{places}f}".rstrip("0").removesuffix(".") for figure in printed
    )
    return f"{shown} mm", f", give or take {off} mm"


def _printed(
    spare_mm: float, plus_minus_mm: float, *, places: int
) -> tuple[float, float]:
    return round(spare_mm, places), tidy_up(plus_minus_mm, step=10.0**-places)


def _made_of(spare_mm: float, plus_minus_mm: float) -> tuple[bool, bool]:
    """Tell whether the spare covers the ±, and whether it falls short by more."""
    return tidy(spare_mm) >= tidy(plus_minus_mm), tidy(-spare_mm) > tidy(plus_minus_mm)


def left_for_stopping(margin_mm: float, *, joined: str = "with") -> str:
    """Return the words that say of a figure that so much room was left for stopping;
    none where none was left.

    >>> left_for_stopping(25.0), left_for_stopping(10.0, joined="and"), left_for_stopping(0.0)
    (', with 25 mm left for stopping', ', and 10 mm left for stopping', '')
    """
    return (
        f", {joined} {millimetres(margin_mm)} left for stopping"
        if margin_mm > 0
        else ""
    )


def counted(count: int, noun: str, *, plural: str | None = None) -> str:
    """Return a number with its noun, as many as there are.

    >>> (
    ...     counted(1, "vehicle"),
    ...     counted(0, "vehicle"),
    ...     counted(2, "cut by hand", plural="cuts by hand"),
    ... )
    ('1 vehicle', '0 vehicles', '2 cuts by hand')
    """
    return f"{count} {noun if count == 1 else plural or noun + 's'}"


def agreeing(count: int, one: str, several: str) -> str:
    """Return the word that goes with so many: a verb, or whatever else differs.

    >>> agreeing(1, "comes", "come"), agreeing(0, "is", "are")
    ('comes', 'are')
    """
    return one if count == 1 else several


def search_stopped(steps: int) -> str:
    """Return that a search ended before it was through.

    >>> search_stopped(1), search_stopped(500)
    ('the search stopped at its limit of 1 step', 'the search stopped at its limit of 500 steps')
    """
    return f"the search stopped at its limit of {counted(steps, 'step')}"


def listed(names: Sequence[str]) -> str:
    """Return names as they stand in a sentence; a long list is cut short, and says so.

    >>> listed(["Ash", "Elm", "Oak"])
    'Ash, Elm and Oak'
    >>> listed([f"Wagon {number}" for number in range(1, 10)])
    'Wagon 1, Wagon 2, Wagon 3, Wagon 4, Wagon 5, Wagon 6 and 3 more'
    """
    if len(names) > MOST_NAMED:
        return f"{', '.join(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more"
    if len(names) < 2:  # noqa: PLR2004 - one name needs no "and"
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
