"""How figures and lists of names are put into words."""

from collections.abc import Sequence

from standage.railway.terms.figures import tidy, tidy_down, tidy_up

MOST_NAMED = 6
"""So many vehicles are named one by one in a sentence."""
_FINEST_PLACES = 6


def millimetres(value_mm: float) -> str:
    """Return a length in words, to a tenth of a millimetre; what is less than that, yet
    something, is said to be. **Source** derived.

    >>> millimetres(1234.04), millimetres(0.1 + 0.2 - 0.3), millimetres(0.04)
    ('1234 mm', '0 mm', 'less than 0.1 mm')
    """
    tenths_mm = round(value_mm, 1)
    if tenths_mm == 0 and tidy(value_mm) != 0:
        return "less than 0.1 mm"
    figure = f"{tenths_mm + 0.0:.1f}"
    shown = figure.removesuffix(".0")
    return f"{shown} mm"


def at_most(value_mm: float) -> str:
    """Return a length that is not to be exceeded in words, to a tenth of a millimetre
    and never more than it is. **Source** derived.

    >>> at_most(997.75), at_most(3 * 60.2), at_most(0.04)
    ('997.7 mm', '180.6 mm', '0 mm')
    """
    shown_mm = tidy_down(value_mm, step=0.1)
    return millimetres(shown_mm)


def at_least(value_mm: float) -> str:
    """Return a length that is needed in words, to a tenth of a millimetre and never
    less than it is. **Source** derived.

    >>> at_least(997.71), at_least(3 * 60.2)
    ('997.8 mm', '180.6 mm')
    """
    shown_mm = tidy_up(value_mm, step=0.1)
    return millimetres(shown_mm)


def beside(value: float, *, limit: float, places: int = 1) -> str:
    """Return a figure to so many places, or to as many as it takes to tell it from the
    limit it is held against.

    What is printed then lies on the same side of the limit as what is judged.
    **Source** derived.

    >>> beside(25.04, limit=25.0), beside(25.0, limit=25.0), beside(31.06, limit=25.0)
    ('25.04', '25', '31.1')
    """
    is_at_the_limit = tidy(value) == tidy(limit)
    shown = f"{value:.{places}f}"
    while places < _FINEST_PLACES:
        if is_at_the_limit or _same_side(value, float(shown), limit):
            break
        places += 1
        shown = f"{value:.{places}f}"
    return _without_noughts(shown)


def _same_side(value: float, shown: float, limit: float) -> bool:
    if shown == limit:
        return False
    is_above = value > limit
    return is_above == (shown > limit)


def _without_noughts(figure: str) -> str:
    if "." not in figure:
        return figure
    shown = figure.rstrip("0")
    return shown.removesuffix(".")


def give_or_take(plus_minus_mm: float) -> str:
    """Return the words that follow a figure that is off by as much either way, never
    less; none where it is not off. **Source** derived.

    >>> give_or_take(6.0), give_or_take(8.45), give_or_take(0.0)
    (', give or take 6 mm', ', give or take 8.5 mm', '')
    """
    if plus_minus_mm <= 0:
        return ""
    return f", give or take {at_least(plus_minus_mm)}"


def spare_beside_doubt(spare_mm: float, *, plus_minus_mm: float) -> tuple[str, str]:
    """Return what is to spare, or too little, and its ± as it follows it, to as many
    places as tell them apart.

    A reader who holds one printed figure against the other then comes to what they make
    of each other. **Source** derived.

    >>> spare_beside_doubt(8.42, plus_minus_mm=8.45), spare_beside_doubt(-8.46, plus_minus_mm=8.45)
    (('8.4 mm', ', give or take 8.5 mm'), ('8.46 mm', ', give or take 8.45 mm'))
    """
    as_it_is = _made_of(spare_mm, plus_minus_mm)
    places = 1
    printed = _printed(spare_mm, plus_minus_mm, places=places)
    while places < _FINEST_PLACES and _made_of(*printed) != as_it_is:
        places += 1
        printed = _printed(spare_mm, plus_minus_mm, places=places)
    if places == 1 or plus_minus_mm <= 0:
        return millimetres(abs(spare_mm)), give_or_take(plus_minus_mm)
    printed_spare_mm, printed_doubt_mm = printed
    shown = _without_noughts(f"{abs(printed_spare_mm):.{places}f}")
    off = _without_noughts(f"{printed_doubt_mm:.{places}f}")
    return f"{shown} mm", f", give or take {off} mm"


def _printed(
    spare_mm: float, plus_minus_mm: float, *, places: int
) -> tuple[float, float]:
    step = 10.0**-places
    printed_spare_mm = round(spare_mm, places)
    printed_doubt_mm = tidy_up(plus_minus_mm, step=step)
    return printed_spare_mm, printed_doubt_mm


def _made_of(spare_mm: float, plus_minus_mm: float) -> tuple[bool, bool]:
    """Tell whether the spare covers the ±, and whether it falls short by more."""
    doubt_mm = tidy(plus_minus_mm)
    covers_it = tidy(spare_mm) >= doubt_mm
    lacks_more = tidy(-spare_mm) > doubt_mm
    return covers_it, lacks_more


def left_for_stopping(margin_mm: float, *, joined: str = "with") -> str:
    """Return the words that say of a figure that so much room was left for stopping;
    none where none was left. **Source** plain English.

    >>> left_for_stopping(25.0), left_for_stopping(10.0, joined="and"), left_for_stopping(0.0)
    (', with 25 mm left for stopping', ', and 10 mm left for stopping', '')
    """
    if margin_mm <= 0:
        return ""
    return f", {joined} {millimetres(margin_mm)} left for stopping"


def counted(count: int, noun: str, *, plural: str | None = None) -> str:
    """Return a number with its noun, as many as there are. **Source** plain English.

    >>> (
    ...     counted(1, "vehicle"),
    ...     counted(0, "vehicle"),
    ...     counted(2, "cut by hand", plural="cuts by hand"),
    ... )
    ('1 vehicle', '0 vehicles', '2 cuts by hand')
    """
    several = plural or f"{noun}s"
    word = agreeing(count, noun, several)
    return f"{count} {word}"


def agreeing(count: int, one: str, several: str) -> str:
    """Return the word that goes with so many: a verb, or whatever else differs.
    **Source** plain English.

    >>> agreeing(1, "comes", "come"), agreeing(0, "is", "are")
    ('comes', 'are')
    """
    return one if count == 1 else several


def search_stopped(steps: int) -> str:
    """Return that a search ended before it was through. **Source** plain English.

    >>> search_stopped(1), search_stopped(500)
    ('the search stopped at its limit of 1 step', 'the search stopped at its limit of 500 steps')
    """
    limit = counted(steps, "step")
    return f"the search stopped at its limit of {limit}"


def listed(names: Sequence[str]) -> str:
    """Return names as they stand in a sentence; a long list is cut short, and says so.
    **Source** plain English.

    >>> listed(["Ash", "Elm", "Oak"])
    'Ash, Elm and Oak'
    >>> listed([f"Wagon {number}" for number in range(1, 10)])
    'Wagon 1, Wagon 2, Wagon 3, Wagon 4, Wagon 5, Wagon 6 and 3 more'
    """
    if len(names) > MOST_NAMED:
        shown = ", ".join(names[:MOST_NAMED])
        others = len(names) - MOST_NAMED
        return f"{shown} and {others} more"
    if len(names) < 2:  # noqa: PLR2004 - one name needs no "and"
        return "".join(names)
    *first, last = names
    return f"{', '.join(first)} and {last}"
