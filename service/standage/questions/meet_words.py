"""Two trains that meet, in words: how each run is done, and why they do not get by."""

from collections.abc import Iterator
from typing import NamedTuple

from msgspec.structs import asdict

from standage.questions.meet_answer import MeetRun, WhichTrain
from standage.questions.meet_judging import JudgedMeeting
from standage.questions.move_words import Named, few, road_at, told_run, verb_of
from standage.questions.moves_ground import Surveyed
from standage.railway.moves.facts import RunFacts, facts_of_run
from standage.railway.moves.ground import with_lengths
from standage.railway.moves.meeting.meet import MOST_PAIRS
from standage.railway.moves.meeting.met_runs import MetRun, Which
from standage.railway.terms.figures import counted, millimetres, search_stopped, tidy
from standage.railway.terms.reasons import Reason

_WHICH: dict[Which, WhichTrain] = {0: "first", 1: "second"}


class MetNames(NamedTuple):
    """What the things of each train's way are called."""

    first: Named
    second: Named


class ToldMeeting(NamedTuple):
    """All runs with their words, and the points that are passed."""

    runs: tuple[MeetRun, ...]
    passed: frozenset[str]


def told_meeting(
    known: Surveyed, judged: JudgedMeeting, names: MetNames
) -> ToldMeeting:
    """Return every run of two trains that get by each other."""
    if judged.best is None:
        return ToldMeeting((), frozenset())
    runs = []
    passed: set[str] = set()
    for one in judged.best.runs:
        # It may go no farther than the other needs while this one stands there.
        taken = (*known.ground.standing, *one.beside, *one.gone_over)
        on = with_lengths(known.ground, {}, standing=taken)
        wanted = judged.both[one.which]
        facts = facts_of_run(on, wanted, one.run, is_last=one.is_last)
        passed |= set(facts.points)
        runs.append(
            _told(
                known,
                one,
                facts,
                names[one.which],
            )
        )
    return ToldMeeting(tuple(runs), frozenset(passed))


def _told(known: Surveyed, one: MetRun, facts: RunFacts, named: Named) -> MeetRun:
    run = told_run(known, facts, named, is_last=one.is_last)
    message = run.message
    if one.waits:
        message = _waiting(known, facts, named)
    message = f"{_WHICH[one.which].capitalize()} train: {_lower(message)}"
    fields = asdict(run) | {"message": message, "train": _WHICH[one.which]}
    return MeetRun(**fields)


def _lower(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def _waiting(known: Surveyed, facts: RunFacts, named: Named) -> str:
    """Return how a train is moved to where it waits for the other."""
    over = f" over {few(facts.points)}" if facts.points else ""
    into = road_at(known, facts.last_course)
    far = millimetres(facts.run.distance_mm)
    spare = ""
    if facts.spare_mm is not None:
        spare = f": {millimetres(facts.spare_mm)} to spare"
    return f"{verb_of(facts, named)} {far}{over}{into} and wait there{spare}."


def meet_reasons(judged: JudgedMeeting) -> Iterator[Reason]:
    """Yield why two trains get by each other or do not."""
    found = judged.met
    if judged.verdict == "tight":
        yield from _doubt(judged)
    if found.gave_up or not found.is_shortest:
        yield _stopped(is_found=found.best is not None)
    if found.may_creep:
        yield _creeping(is_found=found.best is not None)
    if judged.best is not None:
        turns = counted(judged.best.reversals, "reversal")
        far = millimetres(judged.best.distance_mm)
        message = f"it takes {turns}, and {far} of travel by both trains together"
        value_mm = tidy(judged.best.distance_mm)
        yield Reason(
            code="best_way",
            message=message,
            value_mm=value_mm,
        )
    if judged.verdict == "impossible":
        yield from _no_way(judged)


def _stopped(*, is_found: bool) -> Reason:
    left = "not all ways were looked at"
    if is_found:
        left = "there may be a shorter way, with as many reversals"
    message = f"{search_stopped(MOST_PAIRS)}: {left}"
    return Reason(code="search_stopped", message=message)


def _creeping(*, is_found: bool) -> Reason:
    left = "whether they get by so is not looked at"
    if is_found:
        left = "whether that saves a reversal is not looked at"
    message = (
        "both trains nearly fill a circuit, and might creep round it in turn, each up"
        f" against the other: {left}"
    )
    return Reason(code="may_creep", message=message)


def _doubt(judged: JudgedMeeting) -> Iterator[Reason]:
    """Yield how little would change the verdict."""
    longer = "a little longer, they would not get by"
    if judged.met.best is None:
        longer = "a little shorter, they would get by"
    for which, off_mm in enumerate(judged.plus_minus_mm):
        if off_mm:
            name = _WHICH[1 if which else 0]
            message = (
                f"the {name} train and the room for it are known to within"
                f" {millimetres(off_mm)}; {longer}: too close to call"
            )
            yield Reason(code="tight", message=message, limit_mm=off_mm)


def _no_way(judged: JudgedMeeting) -> Iterator[Reason]:
    for which, gets_there in enumerate(judged.met.alone):
        if not gets_there:
            name = _WHICH[1 if which else 0]
            message = f"the {name} train does not get there even with the other out of the way"
            yield Reason(
                code="not_alone",
                message=message,
                field=f"trains/{which}",
            )
    if all(judged.met.alone):
        message = "kept whole, neither train finds a place where the other gets by it"
        yield Reason(code="no_passing", message=message)
