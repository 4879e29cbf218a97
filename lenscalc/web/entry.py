"""Entry of the packaged pages, started by `lenscalc app`."""

from lenscalc.web.shell import show

show()
