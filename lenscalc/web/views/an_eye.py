"""What would the eye notice?"""

from lenscalc.web.eye.eye_page import eye_page

eye_page()
