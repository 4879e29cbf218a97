"""Has the instrument or the material moved?"""

from lenscalc.web.records.control_page import control_page

control_page()
