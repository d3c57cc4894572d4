"""A scene being changed: its text, every step there and back, and the handles that change it."""
