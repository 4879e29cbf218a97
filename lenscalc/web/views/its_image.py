"""How sharp is its image?"""

from lenscalc.web.image_page import image_page

image_page()
