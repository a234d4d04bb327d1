"""The ground floor: what every room speaks of and nothing of railways or HTTP.

``faults`` (what is wrong with a value, rules that tie its fields together, and how what
was sent is shown),
``decoding`` (from JSON's own types to a struct, with every fault at once),
``json_text`` (from bytes to JSON's types, strictly), ``refusals`` (the root of all that
a caller can be refused for), ``plain_text`` (what may not stand in a name),
``open_fields`` (which fields to look into), ``merge_patch`` (RFC 7396), ``remembering`` (bounded
memories of pure functions).

Words: a *fault* is one thing that is wrong, with a pointer to it; a *refusal* is raised
and has a stable code.

Decisions:

- **What a type looks like is found out once** (``shapes/decoding``): 5 ms for each row at
  fault made ten thousand of them a minute.
"""
