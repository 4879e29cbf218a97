"""A lens by its dimensions."""

from lenscalc.web.lens.dimensions_page import dimensions_page

dimensions_page()
