"""In air, in water, in the eye."""

from lenscalc.web.lecture.three_media_page import three_media_page

three_media_page()
