"""The machine as a working drawing: a snapshot becomes a list of strokes and texts in millimetres.

`layout.sheet` makes stills, `live_sheet` a sheet that moves; nothing here paints.
"""
