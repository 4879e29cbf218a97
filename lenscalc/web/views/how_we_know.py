"""How do we know?"""

from lenscalc.web.evidence_page import evidence_page

evidence_page()
