"""A question that keeps the search busy for seconds, for what must hold meanwhile."""

import time
from pathlib import Path
from typing import Any

from standage.railway.shunting.plans import plan
from standage.railway.shunting.yard import Puzzle, Wagon, YardGoal, YardStart
from support.yard_puzzles import yard

SLEEP_S = 60.0


def sleep_noted(file: Path) -> None:
    """Make an empty file, so that others see that the work has begun, and sleep."""
    file.touch()
    time.sleep(SLEEP_S)


def hold_noted(begun: Path, end: Path) -> None:
    """Make an empty file, so that others see that the work has begun, and work until
    they make the other.
    """
    begun.touch()
    while not end.exists():
        time.sleep(0.005)


NAMES = [f"W{number}" for number in range(12)]
SIDINGS_MM = {"One": 520.0, "Two": 430.0, "Three": 430.0, "Four": 430.0}
TRAIN = ["W11", "W2", "W7", "W0", "W9"]

LONG = Puzzle(
    engine_length_mm=100,
    yard=yard(420, SIDINGS_MM),
    wagons=tuple(
        Wagon(name=name, length_mm=80 + number) for number, name in enumerate(NAMES)
    ),
    start=YardStart(
        sidings=(tuple(NAMES[:5]), tuple(NAMES[5:9]), tuple(NAMES[9:]), ())
    ),
    goal=YardGoal(siding="One", train=tuple(TRAIN)),
)
"""Twelve wagons, no two equally long: more positions than any budget looks at."""


def search_for_ever(begun: Path) -> None:
    """Make an empty file, so that others see that the work has begun, and search
    without end.
    """
    begun.touch()
    while True:
        plan(LONG)


LONG_BODY: dict[str, Any] = {
    "engine_length_mm": 100,
    "yard": {
        "headshunt_usable_length_mm": 420,
        "sidings": [
            {"name": name, "usable_length_mm": length_mm}
            for name, length_mm in SIDINGS_MM.items()
        ],
    },
    "wagons": [
        {"name": name, "length_mm": 80 + number} for number, name in enumerate(NAMES)
    ],
    "start": {"sidings": [NAMES[:5], NAMES[5:9], NAMES[9:], []]},
    "goal": {"siding": "One", "train": TRAIN},
}
