"""A worksheet to print."""

from lenscalc.web.lecture.worksheet_page import worksheet_page

worksheet_page()
