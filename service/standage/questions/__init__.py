"""What is asked: one file per question, each with its request, its answer and gather,
reckon, report; last its one declaration.

Reading order: ``question`` (what a question declares), any question (``capacity`` is a
plain one), ``catalogue`` (all of them, in the order of the document). ``asked`` is how
a caller names vehicles, trains, places and yards; ``sources`` and ``resolving`` make
values of that; ``reckoning`` tells likely slips, takes figures as written and looks for
roads on their track plans; ``derived`` keeps what was reckoned of a plan on record;
what a large question answers stands apart in ``NAME_answer``, how that is told in
``NAME_report``; the wagons of a yard in ``yard_wagons``, a yard that is on a plan in
``yards_on_plans``, a helix in ``helix``, engines and what they haul in
``haulage_strength`` and ``haulage_load``, what a plan makes of the moves between its
places in ``places_reached``, what two plans make of moves and of places on record in
``plan_compare_moves`` and ``plan_compare_roads``; points by number or angle in
``asked_points``, what a drawing of an answer rests on in ``drawing_cases``;
``example_stock`` is what the examples are about.

Words. A *case* is all that one answer rests on, gathered from one snapshot: pure and
picklable. A *declaration* is what routes, rights, the document, the recorded examples
and the shared tests are made from.

Decisions, each with the test that holds it:

- A question declares itself once, and nothing else names it:
  tests/api/test_who_may_do_what.py, tests/api/test_examples.py.
- Its example shows no slip, and its declared slip is shown beside the example; whoever
  shows none says why: tests/api/test_every_answer_warns.py.
- Random bodies are drawn from the request's type, so that a new field is tried without
  a line about it: tests/api/test_messages.py.
- There is no HTTP and no SQL here: the import contract.
- **Who follows one question enters at most 35 modules**, from its address to the bytes
  of its answer: what is read together stands together, and a question enters only what
  it asks for, as ``sources`` makes each sort of thing once it is asked. A stored
  train-fit had entered 71: tests/contract/test_entered.py.
- **A road of a plan is a place in every question**: its case is surveyed when it is
  reckoned (``questions/reckoning``), each plan once, and in another process where the
  plan is large. So a road that the plan has not is refused from there; whatever else is
  amiss is found before. Every question that takes a place is found by its type and
  tried: tests/questions/test_roads_of_plans.py.
- **A yard of a plan is a yard in every shunting question**: the wagons are resolved
  first, the yard is found when the case is reckoned, and ``assumed`` tells it length by
  length, with the plan's ± for which a yard has no room:
  tests/questions/test_yards_of_plans.py.
- A capacity always has a length, as its answer promises; of a road whose length nobody
  knows it is refused, with what is to be measured: the same.
- **A page of every train against every place looks at up to 200 trains** where one
  verdict is wanted, and may then be short: 200 trains against 100 places took 0.08 s,
  each train resolved once.
- **A table of trains against places is one answer** (``fits``), verdict and spare of
  every pair, its reasons left to the question of one pair; a train that is given by its
  length is a vehicle of unknown length that was measured as a whole, so that there is
  no second rule for it: tests/questions/test_fits.py. By a share link it is asked of that
  layout's places alone: tests/api/test_fits_over_http.py.
- **Moves that are not possible are worked out once for a plan**, for all trains, and kept
  as what is reckoned of a plan on record; what limits a move is looked for where its row
  is shown, and kept too. 43,500 moves took under 20 s, and 0.02 s once kept
  (benchmarks.blocked_moves): tests/questions/test_blocked_moves.py.
- **What is too close to call is listed behind what is impossible**, so that every move
  that is not listed is possible, or cannot be told and is counted: the same.
- **What a plan is made of is told with every rule that it is counted by** (``materials``),
  a bound beside each cut list; an alteration lays and takes up by the same code:
  tests/questions/test_materials_question.py,
  tests/questions/test_materials_of_alterations.py.
- **A page of unsuitable stock counts the vehicles it looks at**, 200 unless asked
  otherwise: most clubs are one page.
- **``exact`` is one word on a question** (``questions/reckoning``): its request and
  case are ``MayBeExact``, its ``gather`` is ``@as_written``, and ``@warned`` says it in
  the answer. A question that takes vehicles inline without it fails a test
  (tests/questions/test_exact_figures.py). What is scaled from the full size stays
  doubtful: nobody wrote that length.
- **What every question works out of a vehicle is remembered** by its figures
  (``shapes/remembering``, 4,096 of each sort): whether it is sound,
  how it is read and its slips, but nothing that holds a name:
  tests/laws/test_remembering_laws.py.
- **What was reckoned of a plan on record is kept**, answers and what it makes of a road
  that any question asks about (``derived``), under all that it rests
  on, in 32 MB of each process, for ten minutes; a changed draft, a revision saved of a
  module, or changed stock is another key (tests/questions/test_derived.py,
  tests/api/test_plan_checks_on_record.py).
- **What a word was taken for is told under ``assumed``**, of records too, since the
  released list of slips is closed; a record's ``assumed`` may come back and counts for
  nothing.
"""
