"""Has the instrument or the material moved?"""

from lenscalc.web.control_page import control_page

control_page()
