"""Entry for `streamlit run app.py`; `lenscalc app` starts the same pages."""

from lenscalc.web.shell import show

show()
