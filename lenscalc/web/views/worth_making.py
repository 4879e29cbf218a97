"""Which are worth making?"""

from lenscalc.web.ranking.ranking_page import ranking_page

ranking_page()
