"""A worksheet to print."""

from lenscalc.web.worksheet_page import worksheet_page

worksheet_page()
