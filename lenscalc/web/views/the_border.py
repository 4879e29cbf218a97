"""The border in a refractometer."""

from lenscalc.web.lecture.border_page import border_page

border_page()
