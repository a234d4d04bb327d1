"""What track is laid of, counted: what is still to be got, and how lengths are cut.

Reading order: ``cutting`` (pieces cut from lengths of track), ``rules`` (by what is
counted where a plan says nothing), ``goods`` (what one thing of a plan is), ``pieces``
(what each piece of a plan takes), ``joints`` (joiners and gaps), ``counting`` (all of it
together, for a plan, for each module, and for an alteration).

Words. *Plain track* is cut from *stock lengths*; the saw takes its own width at each
cut. A *joint* is where two pieces meet; track longer than a stock length has joints
within it too. What is *to be got* is planned, and neither laid nor fixed.

Decisions, each with the test that holds it:

- Few cuts are tried in every way, so that the fewest stock lengths are proved; of many
  the longest go first, each into the first length that has room, and a bound says how
  far off that can be: tests/railway/materials/test_cutting.py.
- Track of no length is no track: the joins at its two ends are one joint. Boards come
  apart and decks move, so nothing joins rails there:
  tests/railway/materials/test_counting.py.
- What an alteration lays and takes up is the difference of what two plans are made of,
  thing by thing: so one plan, what is laid and what comes up make the other:
  tests/questions/test_materials_of_alterations.py.
- Track whose length nobody knows is named and stands in no sum:
  tests/questions/test_materials_question.py.
"""
