"""A scene being changed: its text, every step there and back, and what can be taken hold of."""
