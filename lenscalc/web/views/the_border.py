"""The border in a refractometer."""

from lenscalc.web.border_page import border_page

border_page()
