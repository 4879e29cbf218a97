"""A sheet of exercises about one lens, with blanks to fill in, and its answers on a page of their own: a file that prints and fetches nothing."""

from lenscalc.worksheet.exercise import Blank, Exercise, Lesson, exercises
from lenscalc.worksheet.sheet import worksheet_html

__all__ = ["Blank", "Exercise", "Lesson", "exercises", "worksheet_html"]
