"""Whether trains stand in places, whether they get there, and what would help.

Reading order: ``verdicts`` (fits, too long, too close to call), ``spare`` (by length),
``faces``, ``turntable`` and ``bridging`` (where another length decides),
``suitability`` (whether a vehicle gets there), ``crosswise`` (many trains against many
places), ``dropping`` and ``remedies`` (what helps), ``capacity`` (vehicles of one
type).

Words. *Spare* is what a train leaves of the room; *tight* is too close to call within
the ±. *Standing* is by lengths, wheels, faces and couplings that take hold; *reaching*
by gauge, wheels, curves and headroom. The *wheel reserve* is what hangs over beyond the
last wheel, the *clear circle* what is free around a turntable's pit. *At both ends* is
with the shortest and with the longest couplings that may be meant.

Decisions, each with the test that holds it:

- Standing and reaching are two answers, side by side. A certain no of either decides
  the verdict; short of that it is that of standing, and what is not known or marginal
  on the way stands in ``because``. Marginal does not count either, since a figure that
  leaves a vehicle to be tried would then make an answer milder. Reaching is
  ``cannot_tell`` where a place does not say how sharp its curves are. Only a wish must
  do both, as what is not known of it is what to ask the seller:
  tests/laws/test_reaching_laws.py.
- A missing figure that cannot matter does not hide a certain answer: where what is
  known of a train is too long already, the answer is ``does_not_fit``:
  tests/railway/standing/test_verdicts.py.
- A coupling that nobody names is judged at both ends of what is typical of its scale.
  The same verdict is that verdict, fits and not is ``cannot_tell`` and names the
  coupling, else the worse counts; sums go by the longest:
  tests/railway/standing/test_unnamed_couplings.py.
- A wish is held against a place by the rule that trains stand by, by itself and without
  its couplings, which can be changed: tests/api/test_reverse_questions_over_http.py.
- Gauges within 2 % are one: tests/railway/standing/test_suitability.py.
- North American stock of unknown height needs 6.15 m of full size above it,
  double-stacked containers being about: the same.
- The number to leave off is always the fewest; the search for the least room left over
  stops at a budget and says so (``drop_proved``): tests/laws/test_train_laws.py. Where
  the length that counts is not known nothing is said to be left off: it would be all
  that is unknown, and measuring helps: tests/questions/test_train_fit.py.
- A missing figure is asked for once in an answer, whatever else would need it too:
  tests/railway/standing/test_verdicts.py.
- A margin that comes with the question holds for turntables and reversing sections
  too: tests/railway/standing/test_turntable.py.
- Of many pairs each train is resolved once (verdict and spare of 200 against 100 places
  took 0.1 s on a machine that did three times as much besides, benchmarks.fits), and
  every pair is judged as by itself: tests/laws/test_storing_laws.py,
  tests/laws/test_fits_laws.py. Of many curves few are looked at, since a larger radius
  never runs worse.
- Of a rake of vehicles whose own lengths nobody knows its axles may be anywhere in it:
  on a turntable and in a reversing section its length is no wheelbase.
  tests/railway/standing/test_turntable.py, tests/railway/standing/test_bridging.py.
- A vehicle is remembered as it suits a place, since the same stock is asked about in
  the same places again and again: tests/laws/test_remembering_laws.py.
"""
