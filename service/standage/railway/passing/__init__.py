"""Whether vehicles clear each other on two tracks side by side.

Reading order: ``gaps`` (how near bodies come, and its three inverses), ``passers``
(what is known of vehicles, what is lacking, how a pair is told),
``published_spacings`` (what the tables say), ``fouling_stock`` (a vehicle as fouling
points by stock need it).

Words. The *spacing* is between the centre lines, the *gap* between the bodies. A body
*stands in* by its middle and *stands out* by its worse end. A *margin* is what is to
stay. *Marginal* is neither a yes nor a no within the ±.

Decisions, each with the test that holds it:

- The worst pair is the worst outer body beside the worst inner one: what each does to
  the gap does not depend on the other. tests/laws/test_passing_laws.py tries all pairs,
  and lays the bodies out in plan.
- An outer track that is to stay where it is asks for an inner radius: the largest one
  that is clear, since each smaller one is (the same).
- A table's row stands beside the spacing that geometry needs, with the difference, and
  decides nothing. NEM 112's curves are by the inner radius and the greatest group:
  tests/questions/test_passing_question.py.
- The other inverses allow for the ±, and the least radius holds for every larger one: a gap
  that shrinks before it grows hides none (the same).
- A vehicle of measured wheels that cannot stand on the inner track fouls, since nothing
  is left to measure; what does not run there is told:
  tests/questions/test_passing_question.py.
- A width low down, over cylinders or footboards, counts where it is the greater, beside
  all that is met: two engines' cylinders are at one height, and how high something
  narrower is nobody says: tests/questions/test_passing_question.py.
- A vehicle meets its like as well, and one that may stand on its wheels in two ways
  counts both ways: tests/railway/stock/test_wagon_wheels.py.
"""
