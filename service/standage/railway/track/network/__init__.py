"""Which track leads where: strands by number, positions along them, and heights.

Reading order: ``network`` (strands, and what follows each), ``chains`` (far along them
at once), ``positions`` (places on them, found and told), ``lines`` (which run on over
points), ``profiles`` (how a rail rises between two heights), ``heights`` (how high the
rails lie).

Words. A *strand* is one way through a piece. A *course* is a strand in one of its two
directions: twice its number, and one more against the way in which it is given. A
*position* is told by a piece and how far along it.

Decisions, each with the test that holds it:

- Ways are followed by numbers, in one pass: a plan of 20,000 pieces takes a moment, and
  nothing hangs on their order (tests/laws/test_plan_laws.py).
- However often a position goes round a circuit, it is found in a few steps:
  tests/railway/track/test_chains.py.
- Past a joint a position is told on what is joined there; past an end that is not
  joined, on the last piece: tests/railway/track/test_roads.py.
- Between two given heights the rails climb evenly, but for the vertical curves at them,
  which belong to the run as those of a gradient that is asked for by itself:
  tests/railway/track/test_profiles.py. Roads that cross on one level have one height
  there: tests/railway/track/test_heights.py.
"""
