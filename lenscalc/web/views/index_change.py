"""How does power answer to the index?"""

from lenscalc.web.lecture.index_change_page import index_change_page

index_change_page()
