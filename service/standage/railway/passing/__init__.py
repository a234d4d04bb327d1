"""Whether vehicles clear each other on two tracks side by side.

Reading order: ``gaps`` (how near bodies come, and its two inverses), ``passers`` (what
is known of vehicles, what is lacking, how a pair is told), ``fouling_stock`` (a vehicle
as fouling points by stock need it).

Words. The *spacing* is between the centre lines, the *gap* between the bodies. A body
*stands in* by its middle and *stands out* by its worse end. A *margin* is what is to
stay. *Marginal* is neither a yes nor a no within the ±.

Decisions, each with the test that holds it:

- The worst pair is the worst outer body beside the worst inner one: what each does to
  the gap does not depend on the other. tests/laws/test_passing_laws.py tries all pairs,
  and lays the bodies out in plan.
- Both inverses allow for the ±, and the least radius holds for every larger one: a gap
  that shrinks before it grows hides none (the same).
- A vehicle of measured wheels that cannot stand on the inner track fouls, since nothing
  is left to measure; what does not run there is told:
  tests/questions/test_passing_question.py.
- A vehicle meets its like as well, and one that may stand on its wheels in two ways
  counts both ways: tests/railway/stock/test_wagon_wheels.py.
"""
