"""A table of candidates."""

from lenscalc.web.table.candidates_page import candidates_page

candidates_page()
