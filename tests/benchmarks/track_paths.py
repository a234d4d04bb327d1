"""How fast a train is placed on a path, against a yardstick in the same run.

Run with ``PYTHONPATH=service:tests python -m benchmarks.track_paths``. Prints; asserts
nothing about time. The yardstick is the sine and the cosine of as many numbers as
vehicles are placed, which no placing can do without; both in processor time.
"""

from collections.abc import Callable
from time import process_time

import numpy as np

from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import Hand, Run, arc, straight, transition
from standage.railway.track.paths.wheels import Wheels, stood

VEHICLES = 12
COUPLED_MM = 270.0
STEP_MM = 2.0
SWEEP_MM = 20_000.0
ROUNDS = 9
WAGON = Wheels(pivots_mm=60.0)
COACH = Wheels(pivots_mm=186.0, bogie_wheelbase_mm=34.0)


def way() -> Path:
    """Return 20 m and more of straights, arcs, reverse curves and transitions."""
    runs: list[Run] = [straight(500.0)]
    hands: tuple[Hand, ...] = ("left", "right", "left", "right")
    for hand in hands:
        runs += [
            transition(300.0, radius_from_mm=None, radius_to_mm=400, hand=hand),
            arc(1000.0, radius_mm=400, hand=hand),
            transition(300.0, radius_from_mm=400, radius_to_mm=None, hand=hand),
            straight(800.0),
        ]
    runs += [arc(1300.0, radius_mm=600, hand=hand) for hand in hands * 2]
    return Path(tuple(runs)).going_on


def best_ms(work: Callable[[], object]) -> float:
    """Return the shortest of some rounds: what else runs only ever adds."""
    times: list[float] = []
    for _ in range(ROUNDS):
        before = process_time()
        work()
        times.append((process_time() - before) * 1000)
    return min(times)


def place(path: Path, wheels: Wheels, positions_mm: np.ndarray) -> None:
    for vehicle in range(VEHICLES):
        stood(path, positions_mm - vehicle * COUPLED_MM, wheels)


def report(name: str, wheels: Wheels) -> None:
    """Print how long a train of such vehicles takes."""
    positions_mm = np.arange(0.0, SWEEP_MM, STEP_MM)
    placed = VEHICLES * len(positions_mm)
    angles = np.linspace(-3, 3, placed)
    path = way()
    train_ms = best_ms(lambda: place(path, wheels, positions_mm))
    yardstick_ms = best_ms(lambda: (np.sin(angles), np.cos(angles)))
    each_us = train_ms * 1000 / placed
    print(
        f"{VEHICLES} vehicles {name}, "
        f"{SWEEP_MM / 1000:g} m in steps of {STEP_MM:g} mm: "
        f"{train_ms:.0f} ms, {each_us:.2f} µs a vehicle position, "
        f"{train_ms / yardstick_ms:.0f} times its sine and cosine"
    )


if __name__ == "__main__":
    report("on two axles", WAGON)
    report("on bogies", COACH)
