"""Trains put away: which stand in which roads, how full those are, and what can be
worked at loading spots.

Reading order: ``packing`` (trains, roads, whether all of some go in), ``allotment``
(which few are left over), ``roads`` (trains and places as the allotment sees them, and
the replay of its answer), ``words``, ``fill`` (how full roads are), ``holding`` (the
same as numbers of a vehicle), ``parts`` (a train taken apart), ``spots`` (loading
spots anywhere along a dead end), ``best_places`` (where a train stands best of
several).

Words. A train's *weight* is its length and its ± together. A *gap* stays between two
trains in one road. To be *left over* is to have no road. A road is *full* where its
trains leave too little to work in. A *spot* is where a vehicle's middle is brought.

Decisions, each with the test that holds it:

- Which few are left over is tried by packing all the others, longest first, in place
  of a solver library: 22 trains in 10 roads take 0.1 s, where an MILP solver ran into
  its limit of 1.6 s (November 2026, two cores). No arrangement leaves fewer over, or
  of as few a shorter length: tests/laws/test_storing_laws.py.
- 25 mm stay between two trains in one road where nothing is said; one train at a time
  stands on a cassette, traverser or sector plate, or along a platform's face:
  tests/api/test_storing_over_http.py.
- Lengths are added up in whole millionths of a millimetre, a gap to each train and one
  to each road: what is equal fits (tests/laws/test_equal_in_other_questions_laws.py).
- A yard works at half of what it holds, and beyond four-fifths it does not:
  tests/published/test_train_lengths_published.py.
- A train stands best where it fits, then where it gets there, then with the least left
  over, so that long roads stay free for long trains; a turntable comes after all roads
  that hold it: tests/laws/test_fits_laws.py.
- Spots anywhere fall back on the rule for spots side by side:
  tests/laws/test_storing_laws.py.
- Numbers of a vehicle are whole ones, coupled: half of what is held, rounded down, and
  four-fifths, rounded up, yet never so that ``fill`` says otherwise of the length, taken
  as long as so many can stand: tests/questions/test_fill_in_vehicles.py.
"""
