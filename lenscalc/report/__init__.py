"""The printed determination: one sheet followed as far as it goes, as a PDF or as one HTML file; both show the same tree of texts."""

from lenscalc.report.determination import Determined, Origin, determine
from lenscalc.report.from_record import determine_record
from lenscalc.report.html import html_of, report_html
from lenscalc.report.pdf import pdf_of, report_pdf
from lenscalc.report.tree import Determination, as_plain, figures_of
from lenscalc.report.write import check_report_path, write_report

__all__ = [
    "Determination", "Determined", "Origin", "as_plain", "check_report_path", "determine", "determine_record", "figures_of", "html_of", "pdf_of",
    "report_html", "report_pdf", "write_report",
]  # fmt: skip
