"""Which track leads where: strands by number, positions along them, and heights.

A *course* is a strand in one of its two directions: twice its number, and one more
against the way in which it is given. ``network`` holds them, ``chains`` goes far
along them at once, ``positions`` finds and tells places on them, ``heights`` how high
the rails lie.

Decisions, and the tests in tests/railway/track that hold them:

- Ways are followed by numbers: a plan of 20,000 pieces is walked in one pass.
- However often a position goes round a circuit, it is found in a few steps.
  ``test_chains``.
- Past a joint a position is told on what is joined there; past an end that is not
  joined, on the last piece. ``test_roads``.
"""
