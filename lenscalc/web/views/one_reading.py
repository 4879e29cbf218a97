"""One lot, from reading to verdict: from the refractometer to the decision."""


from lenscalc.web.reading.reading_page import reading_page

reading_page()
