"""How does power answer to the index?"""

from lenscalc.web.index_change_page import index_change_page

index_change_page()
