"""Whether a train stands clear in a place, and what would help if not."""
