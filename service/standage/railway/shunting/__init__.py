"""Making up a train in a yard of sidings worked from a headshunt: the fewest visits,
couplings or cuts by hand, proved.

Reading order: ``yard`` (the yard, its wagons, what is asked), ``fitting`` (goals that
never fit), ``wagons`` (how long a vehicle is here), ``check`` (the referee), ``states``
(positions as numbers), ``visits`` (what one visit leads to), ``goals``, ``waves``,
``search``, ``plans`` (a plan as it may leave), ``census`` (every train at once),
``length_trials`` (what one length does), ``length_steps`` (from which length on fewer
do), ``like_wagons``, ``every_train_lengths`` (the same of every train), ``headshunts``
(how long one must be), ``shortfalls`` (what is too long where there is no plan),
``deal`` (puzzles by a seed). ``fans`` and ``plan_yards`` find the yard of a track plan:
where trains get from a headshunt without turning back, and what that comes to.

Words. A *visit* of a siding is a *pick*, after which more wagons are on the engine, or
a *drop*. The engine's *string* and what stands in the siding are one *line*, which the
visit cuts anew. A *position* says what stands where, a *shape* only how many; a *word*
is a position's wagons as bits, a *key* shape and word together. A *trip* is the siding
visited last, where there is more *room* between two than in the headshunt. A *par* is
the least that a train costs.

Decisions, each with the test that holds it:

- A position is one 64-bit number, so that thousands are reckoned with at once, and a
  length whole millionths of a millimetre: what is equal fits
  (tests/laws/test_equal_in_other_questions_laws.py).
- Two waves meet in the middle, in order of weight; where the goal asks for too many
  positions to list, one goes out. The fewest is what a plain search finds:
  tests/laws/test_shunting_laws.py. "Impossible" is proved, never timed out:
  tests/railway/shunting/test_shunting_budget.py.
- A plan leaves only when the referee has replayed it, which shares no code with the
  search: tests/railway/shunting/test_shunting_check.py.
- A census goes back from one train where all wagons are equally long, since trains
  then differ by names only: tests/railway/shunting/test_shunting_deal.py.
- What can be done changes only at the engine's length and a sum of wagons' lengths: a
  longer headshunt is never worse, so that halving finds every length that matters
  (5-3-3 with eight wagons: 0.03 s, benchmarks.shunting). Of every train a few are looked
  at by themselves, and a census only where these do with fewer: four censuses in place
  of seven, 1 s. It is what a plain search finds at every millimetre:
  tests/railway/shunting/test_headshunts.py.
- One census of eight wagons of eight lengths takes two million positions and 3 s. So
  there every train is held between two yards whose wagons are all alike, with as many
  in each road as surely go in and as may: 1.6 s for all four steps, of which it is said
  that less may do, too. Both bounds hold: the same.
- Why there is no plan is told in lengths first: by how much the headshunt is shorter
  than the least that does, or that none would help:
  tests/railway/shunting/test_shortfalls.py.
- Chance is drawn from SHA-256, so that a seed deals one puzzle for ever: the same.
- A plan's yard is what the search for moves finds there: two sidings have as much room
  between them as the longest train that gets across, and points are facing all the way
  out, so that no two ways meet again: tests/railway/shunting/test_plan_yard_rooms.py.
- The headshunt counts from the tips of its first points, fouled by others or not, since
  nothing stands where it would be foul; where no stop ends it, up to where a train is
  clear of what does: tests/railway/shunting/test_plan_yards.py.
- A road that goes on, or that ends otherwise than at buffers, is left out and told; one
  that is named is refused with the reason: the same.
- An uncoupling fitting nearer to the blades than a siding's fouling point is none of its
  places: the wagons left there would be foul: the same.
"""
