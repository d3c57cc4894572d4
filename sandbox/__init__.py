"""A bench of simple machines, simulated and predicted side by side.

Read in this order: `cli` takes a command, `scene` turns a file into parts, `engine` moves them,
`theory` (which never sees the engine) works out what they should do, `check` lays the two side by
side, `drawing` draws what the engine recorded, and `painting` and `window` show it.
"""

__version__ = "0.1.0"
