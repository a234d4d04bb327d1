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
_FOOT_MM = 304.8


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
        fewest = int(tidy(engines * self.fewest))
        most = int(tidy(engines * self.most))
        return fewest, most


class Pull(msgspec.Struct, frozen=True, kw_only=True):
    """An engine whose drawbar pull on the level was measured, and the vehicles that it
    is to haul.

    Pull and masses are in grams, as a spring balance and a kitchen scale show them.
    """

    drawbar_pull_g: float
    engine_mass_g: float
    vehicle_mass_g: float


class Trial(msgspec.Struct, frozen=True, kw_only=True):
    """What one engine hauled of the vehicles on a way where somebody tried it."""

    vehicles: float
    way: Way


Power = float | Pull | Trial
"""What one engine hauls: so many on the level, by its pull, or by a trial."""


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
    full_size_mm = radius_mm * ratio
    radius_ft = full_size_mm / _FOOT_MM
    drag_of_one_foot = CURVE_DRAG_PERCENT_PER_DEGREE * _RADIUS_OF_ONE_DEGREE_FT
    return drag_of_one_foot / radius_ft


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
    own_weight_g = resistance_g(
        pull.engine_mass_g,
        percent=way.gradient_percent,
    )
    left_g = pull.drawbar_pull_g - own_weight_g
    each_g = resistance_g(
        pull.vehicle_mass_g,
        percent=rolling_percent + way.gradient_percent + way.curve_drag_percent,
    )
    # It hauls none, not less than none, where it does not lift itself.
    return max(left_g, 0.0) / each_g


def hauled_from_trial(trial: Trial, *, way: Way, rolling_percent: float) -> float:
    """Return how many vehicles an engine hauls on ``way`` that hauled some on another.

    n₁ (r + g₁ + c₁)/(r + g₂ + c₂), with the same r on both. The engine's own weight on
    the gradients is not in it. **Source** derived from that of ``hauled_from_level``.

    >>> tried = Trial(vehicles=30, way=Way(gradient_percent=2.0))
    >>> hauled_from_trial(tried, way=Way(gradient_percent=4.0), rolling_percent=1.0)
    18.0
    """
    tried = trial.way
    there = rolling_percent + tried.gradient_percent + tried.curve_drag_percent
    here = rolling_percent + way.gradient_percent + way.curve_drag_percent
    return trial.vehicles * there / here


def hauled(basis: Power, *, way: Way, rolling_percent: float) -> float:
    """Return how many vehicles one engine hauls on ``way``, from its number on the
    level, from its pull or from a trial. **Source** that of the way it is reckoned by.
    """
    if isinstance(basis, Trial):
        return hauled_from_trial(
            basis,
            way=way,
            rolling_percent=rolling_percent,
        )
    if isinstance(basis, Pull):
        return hauled_by_pull(
            basis,
            way=way,
            rolling_percent=rolling_percent,
        )
    return hauled_from_level(
        basis,
        way=way,
        rolling_percent=rolling_percent,
    )


def band(basis: Power, *, way: Way) -> Band:
    """Return how many vehicles one engine hauls on ``way`` over the whole band of
    rolling resistance. **Source** that of ``ROLLING_PERCENT``.
    """
    reckoned = [
        hauled(basis, way=way, rolling_percent=percent) for percent in ROLLING_PERCENT
    ]
    return Band(fewest=min(reckoned), most=max(reckoned))


def engines_needed(vehicles: float, *, by_one: float) -> int | None:
    """Return how many like engines haul ``vehicles`` where one hauls ``by_one``, or as
    much of a mass; None where no number does. **Source** derived.
    """
    if tidy(by_one) <= 0:
        return None
    needed = tidy(vehicles / by_one)
    return math.ceil(needed)


def steepest_hauled_percent(
    basis: Power, *, vehicles: float, engines: int, way: Way
) -> float | None:
    """Return the steepest gradient up which the engines haul so many vehicles in the
    worst case; None if not one.

    The curve's drag of ``way`` stays, its gradient does not count. Inverse of
    ``band``'s fewest: not rounded, and without an upper bound. **Source** derived.
    """
    if isinstance(basis, Pull):
        steepest = _steepest_by_pull(
            basis,
            vehicles=vehicles,
            engines=engines,
            drag_percent=way.curve_drag_percent,
        )
    elif isinstance(basis, Trial):
        steepest = _steepest_from_trial(
            engines * basis.vehicles / vehicles,
            tried=basis.way,
            drag_percent=way.curve_drag_percent,
        )
    else:
        steepest = _steepest_from_level(
            engines * basis / vehicles,
            drag_percent=way.curve_drag_percent,
        )
    return steepest if steepest >= 0 else None


def _steepest_by_pull(
    pull: Pull, *, vehicles: float, engines: int, drag_percent: float
) -> float:
    """Return the gradient that uses up what stiff stock leaves of the pull."""
    rolling_percent = max(ROLLING_PERCENT)
    train_g = vehicles * pull.vehicle_mass_g
    on_level_g = resistance_g(
        train_g,
        percent=rolling_percent + drag_percent,
    )
    spare_g = engines * pull.drawbar_pull_g - on_level_g
    lifted_g = engines * pull.engine_mass_g + train_g
    return 100 * spare_g / lifted_g


def _steepest_from_level(times_the_train: float, *, drag_percent: float) -> float:
    """Return the gradient on which the engines haul the train, where they would haul so
    many times as much on the level: free-running stock is the worst case.
    """
    rolling_percent = min(ROLLING_PERCENT)
    beyond_rolling = times_the_train - 1
    return rolling_percent * beyond_rolling - drag_percent


def _steepest_from_trial(
    times_the_train: float, *, tried: Way, drag_percent: float
) -> float:
    """Return the gradient on which the engines haul the train, where they hauled so
    many times as much on the way of a trial: the stock decides which is the worse case.
    """
    there = tried.gradient_percent + tried.curve_drag_percent
    found = [
        times_the_train * (rolling_percent + there) - rolling_percent - drag_percent
        for rolling_percent in ROLLING_PERCENT
    ]
    return min(found)
