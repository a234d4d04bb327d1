"""Mutation score of railway/: how many small mistakes its tests notice. ``python -m
mutation --help`` says how.

A sample is drawn by a seed, so that the same command tries the same mutants. Nothing in
the tree is changed.
"""

import argparse
import random
import time
from collections import Counter
from pathlib import Path

import msgspec

from mutation.matching import SERVICE, TESTS, modules, near, nearest
from mutation.mutants import Mutation, mutated, mutations
from mutation.trial import measure, try_mutant

RAILWAY = "standage.railway."
KEPT = TESTS.parent / "build" / "mutation-seconds.json"
"""How long each test file takes; delete it to have it measured again."""
_Drawn = tuple[str, Path, Mutation]


def main() -> None:
    """Try the mutants that the command line asks for, and print what the tests
    noticed.
    """
    asked = _asked()
    drawn = _drawn(asked.room, asked.sample, seed=asked.seed)
    seconds = _seconds({file for module, *_ in drawn for file in near(module)})
    print(f"{len(drawn)} mutants, {sum(seconds.values()):.0f} s of tests", flush=True)
    noticed: Counter[str] = Counter()
    tried: Counter[str] = Counter()
    until = time.monotonic() + 60 * asked.minutes
    for module, path, mutation in drawn:
        if time.monotonic() > until:
            print(f"stopped after {asked.minutes:g} minutes")
            break
        files = nearest(module, seconds, most_s=asked.most_s)
        bound_s = 20 + 4 * sum(seconds.get(file, 1.0) for file in files)
        tree = mutated(path.read_text("utf-8"), mutation)
        outcome = try_mutant(module, path, tree, files, within_s=bound_s)
        room = module.removeprefix(RAILWAY).partition(".")[0]
        tried[room] += 1
        noticed[room] += outcome != "survived"
        if outcome == "survived":
            print(
                f"survived  {path.relative_to(SERVICE)}:{mutation.line} "
                f" {mutation.words}",
                flush=True,
            )
    _print_scores(tried, noticed)


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m mutation", description=__doc__)
    parser.add_argument(
        "--sample", type=int, help="how many mutants to try; all if not given"
    )
    parser.add_argument("--seed", type=int, default=1, help="which sample")
    parser.add_argument(
        "--room", help="only mutants of one room of railway/, such as curving"
    )
    parser.add_argument("--minutes", type=float, default=600, help="stop after so long")
    parser.add_argument(
        "--most-s",
        type=float,
        default=30,
        help="how long the tests of one mutant may take at most",
    )
    return parser.parse_args()


def _drawn(room: str | None, sample: int | None, *, seed: int) -> list[_Drawn]:
    begins = RAILWAY if room is None else f"{RAILWAY}{room}."
    every = [
        (module, path, mutation)
        for module, path in sorted(modules().items())
        if module.startswith(begins)
        for mutation in mutations(path.read_text("utf-8"))
    ]
    if sample is None or sample >= len(every):
        return every
    return random.Random(seed).sample(every, sample)


def _seconds(files: set[Path]) -> dict[Path, float]:
    """Return how long each of the test files takes, measured once and then kept.

    Only those that are asked for have to pass: a room can be tried while the tests of
    another one fail.
    """
    kept: dict[str, float] = {}
    if KEPT.exists():
        kept = msgspec.json.decode(KEPT.read_bytes(), type=dict[str, float])
    names = {str(file.relative_to(TESTS)): file for file in sorted(files)}
    new = [file for name, file in names.items() if name not in kept]
    if new:
        print(f"measuring how long {len(new)} test files take", flush=True)
        measured = measure(new)
        # a file of which no test was chosen takes no time
        kept |= {str(file.relative_to(TESTS)): measured.get(file, 0.0) for file in new}
        KEPT.parent.mkdir(exist_ok=True)
        KEPT.write_bytes(msgspec.json.encode(kept))
    return {file: kept[name] for name, file in names.items()}


def _print_scores(tried: Counter[str], noticed: Counter[str]) -> None:
    for room in sorted(tried):
        print(
            f"{room:10} {noticed[room]:4} of {tried[room]:4} "
            f" {100 * noticed[room] / tried[room]:5.1f} %"
        )
    if tried:
        whole = 100 * noticed.total() / tried.total()
        print(
            f"{'railway':10} {noticed.total():4} of {tried.total():4}  {whole:5.1f} %"
        )


if __name__ == "__main__":
    main()
