"""Moves: whether a train gets from one road to another, how, and how long it may be.

Reading order: ``ground`` (where trains may go, and what excludes what) with ``ways``
(the ways on, whatever their lengths), ``standing`` (where a train lies, and places as
it runs over them) and ``stretches`` (the same as a plan writes it), ``room`` (how far a
train gets on), ``wanted``, ``goals`` and ``nodes`` (what is wanted, and trains on their
way there), ``starts`` (where in its place a train sets out), ``search`` (the runs with
the fewest reversals, then the least distance),
``facts`` (what there is to say of a run), ``longest`` (how long a train may be),
``alterations`` (track that is longer or shorter), ``limiting`` (what limits the longest
train), ``cures`` (what more track would do), ``shifts`` (points moved along), ``draws``
(a train taken in parts), ``reach``, and ``reaching`` (the longest trains between many
places at once); ``replay`` plays runs over again, without the search, by ``laid_down``
(what lies under a train, and what is wrong with that). ``through`` stands apart: the
way through places without a reversal. Of an engine that leaves its train:
``coupled_engine`` (where it stands at first), ``run_round`` (where the train stands
best, and how the engine goes), ``roads_away`` (where it is away from that) and
``lacking_track`` (what is too short). ``meeting`` is a room of its own: two trains that
get by each other.

Words. A *run* is a train's way without a reversal; its *lead* is the end that goes in
front, its *rear* the other one. A *zone* is where a vehicle stands foul of the other
way over points or a crossing, from the blades to the fouling point. Two zones are
*rivals* where anything in one bars the whole of the other.

Decisions, each with the test that holds it:

- No runs leave that ``replay`` does not let pass: the questions hold those that they tell
  against it, and a disagreement is a defect of ours:
  tests/railway/moves/test_replayed.py.
- A train reverses just where its rear has cleared blades over which it may go another
  way. To reverse elsewhere, or farther on, opens no way and saves none; but where its
  rear would stand in its goal nearer to blades than the margin, it may run on until it
  has cleared these and back in, as its other end has not passed them:
  tests/railway/moves/test_search.py, against a simulation that pushes trains cell by
  cell and may reverse anywhere.
- A train that may stand anywhere sets out from as far as its place goes, and from before
  each blades in the place over which it may leave: the same, over stretches that were
  measured over points.
- What follows the train's lead is known from the track that lies under it, so that two
  ways that lay the same track under a train are one from there on: the same.
- The longest train is found by asking again and again, since whatever is possible for a
  train is possible for a shorter one: tests/railway/moves/test_longest.py.
- Where a train points either way, is propelled everywhere and finds nothing in its way,
  it can undo what it did: both ways between two places take the same train, and of the
  longest trains between three places the least two are equal. So thirty places are
  asked about some 120 moves and not 870; 0.6 s, where one page of what limits them takes
  longer: tests/railway/moves/test_reaching.py, against every move by itself and pushed
  trains. A place that a train may leave and never enter, or where it is foul of itself,
  is asked about by itself.
- Altered track is not surveyed anew: lengths, zones, stock, and the limits of places
  follow from what is known: tests/railway/moves/test_alterations.py, against plans laid
  anew.
- Whatever stops at its budget says so, and nothing is told then that more steps would
  change; how long a train may be is not told at all: tests/questions/test_move_bounds.py.
- Where no one piece alone is enough, the pieces named together are such that each is
  needed, and with 1 mm less of any one it is not enough: the same file.
- Points are moved as with a saw: so much is cut out of the straight or taped track on one
  side and put in on the other, at each leg as much as at the toe, and what lies at the
  far ends of that track stays, stock included. Along a curve they are not moved; a curve
  beyond a leg that turns out goes with them. That a road that turns out gains or loses
  just as much is so where it runs beside the other, and is assumed. The least shift that
  does is sought, though more of it may be too much again:
  tests/railway/moves/test_shifts.py, against plans laid anew.
- A train is said to go in parts only where each was tried with what waits and what has
  been taken before it; the engine comes back alone as the next part goes, turned round.
  An engine half as long as the present one or less is no advice:
  tests/questions/test_move_alternatives.py.
- All advice is for the train as long as it may be within its ±, and the plan's:
  tests/questions/test_move_shifts.py.
- An engine that leaves its train is searched for with the train against the engine's end
  of the place alone: farther in it goes the same ways. At the finish no margin is asked
  for where it touches its train: nothing is thrown there.
  tests/railway/moves/test_run_round.py, against engines pushed from trains laid on every
  place.
"""
