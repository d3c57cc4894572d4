"""The take-home page: one student's bench as one file of HTML that needs nothing else.

`grid` runs the engine over what may be varied, `shapes` takes the sheet's drawing apart, `pack`
makes both small, and `page` puts them with the student's task and the script in `assets/page`.
"""

from sandbox.page.grid import Grid
from sandbox.page.page import LARGEST_PAGE, grid_for, page_of

__all__ = ["LARGEST_PAGE", "Grid", "grid_for", "page_of"]
