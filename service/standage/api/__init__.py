"""How it is spoken: HTTP, problems, pages and the OpenAPI document."""
