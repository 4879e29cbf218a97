"""A sweep of designs."""

from lenscalc.web.sweep.sweep_page import sweep_page

sweep_page()
