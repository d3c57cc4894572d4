"""What was done in each step of a draft, as facts to be written in the reader's language."""

from __future__ import annotations

from sandbox.facts import Kind

CHANGE = Kind("change_key", "change of {where}")
LEAVE_OUT = Kind("leave_out_key", "leave out {where}")
ADD = Kind("add_part", "add {name}")
MOVE = Kind("move_part", "move {name}")
REMOVE = Kind("remove_part", "remove {name}")
REEVE = Kind("reeve_rope", "reeve {name}")
RENAME = Kind("rename_part", "rename {name} {other}")
TAKE_UP = Kind("take_up_changes", "take up changes")
