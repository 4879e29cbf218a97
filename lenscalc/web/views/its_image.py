"""How sharp is its image?"""

from lenscalc.web.lens.image_page import image_page

image_page()
