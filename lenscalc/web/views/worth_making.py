"""Which are worth making?"""

from lenscalc.web.ranking_page import ranking_page

ranking_page()
