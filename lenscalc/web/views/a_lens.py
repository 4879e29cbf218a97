"""A lens by its dimensions."""

from lenscalc.web.dimensions_page import dimensions_page

dimensions_page()
