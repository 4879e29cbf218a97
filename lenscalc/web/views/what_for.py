"""What did you come for?"""

from lenscalc.web.entry_page import entry_page

entry_page()
