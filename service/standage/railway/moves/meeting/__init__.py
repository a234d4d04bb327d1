"""Two trains that meet: how each gets to its goal, both kept whole, one moving at a time.

Reading order: ``marks`` (where an end of a train may have to stand), ``berths`` (where
one train may come to stand at all), ``occupied`` (what it takes and bars there),
``meet`` (the search over pairs of berths) with ``creeping`` (what it does not look at),
``met_runs`` (its runs in order); ``replay`` plays runs over again, without the search.
``loops`` (two roads between the same points) and ``saw_by``: one train divided once.

Words. A *mark* is a point of the track at which it changes what is in whose way. A
*berth* is a train as it lies, with an end at a mark, and as it last ran. A train *waits*
where it stands while the other moves and goes on the same way later: no reversal.

Decisions, each with the test that holds it:

- Trains stop where an end of them is at a mark: whatever stands in whose way there does
  so up to the next mark, so that to stop between opens no way and saves no reversal.
  Only two trains that follow each other round a circuit have to stop up against each
  other; then, and for the least distance, the points are marks too at which an end lies
  while the other train is at a mark: tests/railway/moves/meeting/test_meet.py, against
  a simulation that pushes both trains cell by cell and stops anywhere.
- What each train may do alone is found once; the least that it costs from a berth to its
  goal is never more than what it costs with another in the way, so the pairs that may
  yet be the best are looked at first: the same file.
- Each train's own steps are put in the order in which the train that moves changes as
  seldom as it can: no figure changes by that: the same file.

- Two trains that nearly fill a circuit might get on by creeping round it in turn, in any
  number of steps. That is not looked at, and said: the same file.
- In a saw-by each part stands on a road of its own. The room that it needs is then just
  enough: tests/railway/moves/meeting/test_saw_by.py, against a simulation. Where both
  parts go only into the longer road there may be a way too, with more room on both
  sides and many more moves; that is not told.
"""
