"""Which shape blurs least?"""

from lenscalc.web.lecture.best_shape_page import best_shape_page

best_shape_page()
