"""What has been kept?"""

from lenscalc.web.records.records_page import records_page

records_page()
