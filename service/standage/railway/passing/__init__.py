"""Whether vehicles clear each other on two tracks side by side."""
