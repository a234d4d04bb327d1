"""The OpenAPI document, made from the operations.

``openapi`` puts it together of ``openapi_parameters``, ``openapi_bodies``,
``openapi_answers`` (with ``openapi_examples``: how much of an answer is shown),
``openapi_problems`` and ``openapi_headers``; ``openapi_schemas``
shapes what msgspec says of a type, with ``openapi_choices`` (choices of words by name),
``openapi_bases`` (what several schemas are made of), ``openapi_fields`` (fields that
they share), ``openapi_figures`` (sorts of figure), ``openapi_sayings`` (what a name
says already) and ``openapi_words`` (parts that may be sent as one word).
``document_words`` is its prose, ``examples.json`` what the
tests recorded.

Decisions:

- **A vocabulary that callers choose from may grow**, and a record's answer gives back
  what was chosen: the gate of releases (tests/contract/breakage.py) lets that through
  and nothing else that a caller may not know. A client shows such a word.
- **A yard's length may be null where whoever saved it named a place instead**, for the
  same reason: the gate lets those two fields through, and no other null
  (tests/contract/test_released.py).
- **A choice of words may grow in answers**, which the document says: a client shows or
  passes over a word that it does not know. The gate of releases
  (tests/contract/breakage.py) lets that through, and names of schemas, which do not
  travel.
- **The document is small enough for a poor line** (tests/contract/test_document.py):
  2.6 kB for each operation (500 kB were 192 of them), since it grows with every
  question, and 100 kB as it is sent to whoever takes it compressed. What schemas have
  alike is taken in by ``allOf``, which the six generators put together again; no
  description says what a name, a type or an operation says, and the example of a long
  answer leaves its longest lists empty: what is in them is said by the schema.
- **An operation lists the refusals of its own**; what a client handles alike whatever
  it asked for stands under ``default``, with each problem as an example
  (``openapi_problems``). For schemathesis ``default`` covers every status, so that a
  check of ours (tests/contract/sensible.py) holds it to those shown. The header that
  every answer has is promised once, in the description.
- **The OpenAPI document is made when it is first asked for**, and what is in memory at
  the start is frozen out of garbage collection (``app.served``).
- **Every shape is looked at before anything is served** (``app.know_every_shape``): two
  threads that decoded into one struct for the first time ended the process (msgspec
  0.22 fills in what it knows of a struct while others may use it; seen three times in
  fifty starts under load, PostgreSQL).
"""
