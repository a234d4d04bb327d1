"""How the service is spoken, in rooms, each knowing only those before it.

``web``
    One request and its answer as HTTP has them: the outermost layer, addresses,
    decoding, media types, preconditions, pages, problems; and what an operation is.
``rights``
    Who may do what: one table.
``operations``
    What can be asked, by subject, each with what is sent, what is answered and what
    becomes of it.
``asking``
    Who asks, may they, and the loop, thread or process in which it is done.
``document``
    The OpenAPI document, made from the operations.

To follow one request, read ``web/outermost_layer``, ``asking/routes``, ``asking/ask``
and ``web/operation``; then the operation. What can be asked is listed in ``app.operations``.

Words: an *operation* is one thing that can be asked; its *act* is what becomes of it
(reads, writes, considers, proves, speaks); a *call* is a decoded request, a *reply*
what goes back before it is bytes.
"""
