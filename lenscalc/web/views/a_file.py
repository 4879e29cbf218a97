"""A table of candidates."""

from lenscalc.web.candidates_page import candidates_page

candidates_page()
