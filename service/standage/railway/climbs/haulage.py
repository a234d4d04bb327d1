"""How many vehicles an engine takes up a gradient: a band, never one number.

What a hauled vehicle needs, in per cent of its weight, is its rolling resistance r, the
gradient g and the drag of the curve c, added up. Rolling resistance scatters from
vehicle to vehicle, so every answer is given for both ends of a band. **Source** for the
band: common practice, in which tests scatter by a quarter.
"""

import math

import msgspec

from standage.railway.terms.figures import tidy

ROLLING_PERCENT = (0.8, 2.0)
"""Rolling resistance, free-running stock to stiff stock, in per cent of its weight.
**Source** common practice, which finds 30 of 100 vehicles left at 1 in 50 and 20 at 1
in 30."""
STEEPEST_ADVISED_PERCENT = 4.0
"""Nothing steeper is ever advised. **Source** common practice."""
RUNAWAY_PERCENT = 0.5
"""From about here standing vehicles run away. **Source** common practice."""
CURVE_DRAG_PERCENT_PER_DEGREE = 0.04
"""**Source** AREA, as quoted in engineering text-books: curve resistance as equivalent
gradient.
"""
_RADIUS_OF_ONE_DEGREE_FT = 18_000 / math.pi


class Way(msgspec.Struct, frozen=True, kw_only=True):
    """What the track adds to rolling resistance, in per cent of the weight on it."""

    gradient_percent: float
    curve_drag_percent: float = 0.0


class Band(msgspec.Struct, frozen=True, kw_only=True):
    """How many vehicles one engine hauls, from the worst case to the best; parts of a
    vehicle are kept.

    By a measured pull the worst case is stock that runs stiffly. By a number on the
    level it is stock that runs freely: stiffness is in that number already, and the
    less it is, the more a gradient adds to it.
    """

    fewest: float
    most: float

    def vehicles(self, engines: int) -> tuple[int, int]:
        """Return the whole vehicles that so many like engines haul together, from the
        worst case to the best.
        """
        return int(tidy(engines * self.fewest)), int(tidy(engines * self.most))


class Pull(msgspec.Struct, frozen=True, kw_only=True):
    """An engine whose drawbar pull on the level was measured, and the vehicles that it
    is to haul.

    Pull and masses are in grams, as a spring balance and a kitchen scale show them.
    """

    drawbar_pull_g: float
    engine_mass_g: float
    vehicle_mass_g: float


def resistance_g(mass_g: float, *, percent: float) -> float:
    """Return the force, in grams' weight, that holds back a mass on so many per cent of
    gradient, drag or rolling.

    **Source** for a gradient: US Army TR0603, 20 lb for each short ton and per cent, a
    hundredth of the weight.
    """
    return mass_g * percent / 100


def curve_drag_percent(radius_mm: float, *, ratio: float) -> float:
    """Return the drag of a curve as an equivalent gradient, the model's curve taken as
    if it were full size.

    A curve's degrees are those turned in 100 ft of it: measured along the arc, so that
    the sharpest curve has them too. **Source** 0.04 % for each degree, AREA as quoted.
    """
    radius_ft = radius_mm * ratio / 304.8
    return CURVE_DRAG_PERCENT_PER_DEGREE * _RADIUS_OF_ONE_DEGREE_FT / radius_ft


def hauled_from_level(
    vehicles_on_level: float, *, way: Way, rolling_percent: float
) -> float:
    """Return how many of the vehicles that an engine hauls on level, straight track it
    hauls on ``way``.

    n r/(r + g + c). The engine's own weight on the gradient is not in it. **Source**
    common practice.

    >>> hauled_from_level(100, way=Way(gradient_percent=1.0), rolling_percent=1.0)
    50.0
    """
    return (
        vehicles_on_level
        * rolling_percent
        / (rolling_percent + way.gradient_percent + way.curve_drag_percent)
    )


def hauled_by_pull(pull: Pull, *, way: Way, rolling_percent: float) -> float:
    """Return how many vehicles a measured pull takes on ``way``; 0 where it does not
    even lift the engine.

    The pull less the engine's own weight on the gradient, over what each vehicle needs.
    **Source** derived.
    """
    left_g = pull.drawbar_pull_g - resistance_g(
        pull.engine_mass_g, percent=way.gradient_percent
    )
    each_percent = rolling_percent + way.gradient_percent + way.curve_drag_percent
    return max(left_g, 0.0) / resistance_g(pull.vehicle_mass_g, percent=each_percent)


def hauled(basis: float | Pull, *, way: Way, rolling_percent: float) -> float:
    """Return how many vehicles one engine hauls on ``way``, from its number on the
    level or from its pull.
    """
    if isinstance(basis, Pull):
        return hauled_by_pull(basis, way=way, rolling_percent=rolling_percent)
    return hauled_from_level(basis, way=way, rolling_percent=rolling_percent)


def band(basis: float | Pull, *, way: Way) -> Band:
    """Return how many vehicles one engine hauls on ``way`` over the whole band of
    rolling resistance.
    """
    reckoned = [
        hauled(basis, way=way, rolling_percent=percent) for percent in ROLLING_PERCENT
    ]
    return Band(fewest=min(reckoned), most=max(reckoned))


def engines_needed(vehicles: int, *, by_one: float) -> int | None:
    """Return how many like engines haul ``vehicles`` where one hauls ``by_one``; None
    where no number does.
    """
    return None if tidy(by_one) <= 0 else math.ceil(tidy(vehicles / by_one))


def steepest_hauled_percent(
    basis: float | Pull, *, vehicles: int, engines: int, way: Way
) -> float | None:
    """Return the steepest gradient up which the engines haul so many vehicles in the
    worst case; None if not one.

    The curve's drag of ``way`` stays, its gradient does not count. Inverse of
    ``band``'s fewest: not rounded, and without an upper bound.
    """
    if isinstance(basis, Pull):
        rolling_percent = max(ROLLING_PERCENT)
        train_g = vehicles * basis.vehicle_mass_g
        spare_g = engines * basis.drawbar_pull_g - resistance_g(
            train_g, percent=rolling_percent + way.curve_drag_percent
        )
        steepest = 100 * spare_g / (engines * basis.engine_mass_g + train_g)
    else:
        rolling_percent = min(ROLLING_PERCENT)
        steepest = (
            rolling_percent * (engines * basis / vehicles - 1) - way.curve_drag_percent
        )
    return steepest if steepest >= 0 else None
