"""A sweep of designs."""

from lenscalc.web.sweep_page import sweep_page

sweep_page()
