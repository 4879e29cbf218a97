"""Why is the focus coloured?"""

from lenscalc.web.lecture.coloured_focus_page import coloured_focus_page

coloured_focus_page()
